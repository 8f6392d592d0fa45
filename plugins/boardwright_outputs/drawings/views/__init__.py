"""Views: what each drawing shows. One noun a file; each answers a neutral Drawing and computes no sizes of
its own."""
