"""The papers of the bench and the post out: report, return label, packing slip, the traveller itself."""
