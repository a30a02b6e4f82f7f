"""One file format a module, the reader beside the writer."""
