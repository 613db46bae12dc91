//! Better courses for a line between the places that it keeps.
//!
//! Whatever speaks for or against a course is counted in money per metre (`weights.rs`): building on slopes, thin and wet soil, corners, water
//! gaps, strikes by running animals over the years, walking to it, gates in tracks. One judgement (`setting.rs`) counts along the drawn course
//! and along those that are found; the drawn one stands where nothing cheaper is found. What the fields say of water, runners and walking is
//! `site`'s: nothing is worked out a second way here.
//!
//! # Source
//! Key `reroute-trial`.

mod beside;
mod course;
mod courses;
mod drawn;
mod find;
mod relief;
mod search;
mod setting;
mod tighten;
mod weights;

pub use beside::{BESIDE_TRACK_M, Joined, join, moved_aside};
pub use courses::{Aim, Courses, Found, courses};
pub use find::{Asked, NoCourse, Setting};
pub use relief::FINE;
pub use setting::{SLIGHT_DEG, SQUARE_DEG};
pub use weights::{Amounts, Term, Weights};

#[cfg(test)]
mod tests;
