//! Will it hold: the ground under a line, where posts go, what the strands do between them, what pulls on the posts.

pub mod corner;
pub mod embedment;
mod range;
mod results;
pub mod spacing;
pub mod tension;

pub use range::OutOfRange;
pub use results::*;
