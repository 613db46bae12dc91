//! Will it hold: the ground under a line, where posts go, what the strands do between them, what pulls on the posts.

mod results;

pub use results::*;
