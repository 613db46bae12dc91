//! The checker: one file per rule, and the list of rules.
