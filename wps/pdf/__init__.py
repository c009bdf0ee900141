"""PDF files from the inside: tags, attached files, bookmarks, page numbers, copying."""
