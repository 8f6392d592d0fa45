"""The files of `boardwright batch` and `boardwright study`."""
