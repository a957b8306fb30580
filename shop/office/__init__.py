"""The office: signing in, what was typed while signed out, settings."""
