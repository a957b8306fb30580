"""The way home: packing, parcels, carriers, warranty."""
