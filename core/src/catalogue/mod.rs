//! Wires, posts, insulators, gates, animals and soils: rows parsed from `assets/catalogue/`, each value with its source.
