"""The papers: plain frozen values in, PDF bytes out. No paper reads the database."""
