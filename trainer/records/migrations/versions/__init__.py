"""One file a schema, in order; a file that was released is never changed."""
