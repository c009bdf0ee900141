"""Kills web and worker at random moments and looks whether anything is lost or half done."""
