"""Tables that come in and go out as files: CSV and XLSX, read with every fault at its cell."""
