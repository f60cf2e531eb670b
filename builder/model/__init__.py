"""From a mesh file to a clean model on its stand in its room."""
