//! The invariants of DEVELOPERS.md, read from the tree. Each check is a function from text to troubles, so that each is
//! also shown a text it must refuse; `the_tree` then runs all of them on the repository as it stands.

#![cfg(test)]

mod boundaries;
mod documents;
mod layout;
mod outside;
mod prose;
mod rust_text;
mod sizes;
mod sources;
mod the_tree;
mod tree;
mod trouble;
