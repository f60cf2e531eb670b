"""The MkDocs plug-in, page templates and static files."""
