//! Hillwire: the window and the commands, over `hillwire_core`.

pub mod cli;
pub mod files;
pub mod window;
pub mod words;
