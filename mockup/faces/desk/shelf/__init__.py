"""Parts of the Shelf page: the list of materials, one of them, files, rates and times."""
