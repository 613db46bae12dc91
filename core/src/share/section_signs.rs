//! The signs and colours of a drawn long section.

use super::drawing::{Drawing, Pen, Place};
use crate::finding::Weight;
use crate::hold::PostRole;

/// What the legend explains.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SectionSign {
    /// A post of this role.
    Post(PostRole),
    /// A living tree in place of a post.
    Tree,
    /// A post that the keeper pinned.
    Pinned,
    /// A post that is held down.
    HeldDown,
    /// Live strands.
    Live,
    /// Strands that return to earth.
    EarthReturn,
    /// The band that the lowest strand keeps to.
    Band,
    /// A gate.
    Gate,
    /// Findings of a weight.
    Found(Weight),
}

pub(super) const PAPER: &str = "#ffffff";
pub(super) const INK: &str = "#22262a";
pub(super) const FAINT: &str = "#6a7075";
pub(super) const GRID: &str = "#dde0e2";
pub(super) const GROUND: &str = "#8a6a45";
pub(super) const LIVE: &str = "#b3261e";
pub(super) const EARTHED: &str = "#4a6fa5";
pub(super) const GOOD: &str = "#4f9d5d";

/// A sign about its middle.
pub(super) fn draw_sign(svg: &mut Drawing, sign: SectionSign, (x, y): Place) {
    let shape = |places: &[Place]| -> Vec<Place> { places.iter().map(|(dx, dy)| (x + dx, y + dy)).collect() };
    match sign {
        SectionSign::Post(PostRole::Line) => {}
        SectionSign::Post(PostRole::Corner) => svg.area(&shape(&[(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0)]), INK, 1.0),
        SectionSign::Post(PostRole::End | PostRole::Stretch) => {
            svg.area(&shape(&[(0.0, -6.0), (6.0, 0.0), (0.0, 6.0), (-6.0, 0.0)]), INK, 1.0)
        }
        SectionSign::Post(PostRole::Gate) => {
            svg.line(&shape(&[(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0), (-5.0, -5.0)]), Pen::of(INK, 2.0));
        }
        SectionSign::Post(PostRole::Dip) => svg.area(&shape(&[(-5.0, -4.0), (5.0, -4.0), (0.0, 5.0)]), EARTHED, 1.0),
        SectionSign::Post(PostRole::Rise) => svg.area(&shape(&[(-5.0, 4.0), (5.0, 4.0), (0.0, -5.0)]), GROUND, 1.0),
        SectionSign::Post(PostRole::Peg) => {
            svg.line(&shape(&[(-4.0, -4.0), (4.0, 4.0)]), Pen::of(INK, 1.4));
            svg.line(&shape(&[(-4.0, 4.0), (4.0, -4.0)]), Pen::of(INK, 1.4));
        }
        SectionSign::Tree => svg.disc((x, y - 2.0), 8.0, GOOD),
        SectionSign::Pinned => svg.ring((x, y), 4.5, Pen::of(INK, 1.6)),
        SectionSign::HeldDown => svg.line(&shape(&[(-6.0, 0.0), (6.0, 0.0)]), Pen::of(GOOD, 4.0)),
        SectionSign::Live => svg.line(&shape(&[(-10.0, 0.0), (10.0, 0.0)]), Pen::of(LIVE, 1.6)),
        SectionSign::EarthReturn => svg.line(&shape(&[(-10.0, 0.0), (10.0, 0.0)]), Pen::of(EARTHED, 1.6)),
        SectionSign::Band => svg.area(&shape(&[(-10.0, -5.0), (10.0, -5.0), (10.0, 5.0), (-10.0, 5.0)]), GOOD, 0.3),
        SectionSign::Gate => svg.line(&shape(&[(-10.0, 0.0), (10.0, 0.0)]), Pen::dashed(LIVE, 1.6)),
        SectionSign::Found(weight) => svg.disc((x, y), 7.0, ink_of(weight)),
    }
}

/// The colour of a weight.
pub(super) fn ink_of(weight: Weight) -> &'static str {
    match weight {
        Weight::MustFix => "#b3261e",
        Weight::LookAt => "#c77700",
        Weight::Note => "#3a6ea5",
    }
}
