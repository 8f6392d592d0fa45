"""Many at once: packs of many projects (`batch`), and many constructions of one (`study`)."""
