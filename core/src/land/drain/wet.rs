//! Where the ground stays wet, and how high it lies above the water.

use super::Drainage;
use crate::units::{Area, Length};

/// Ground flatter than this counts as falling so much: on level ground wetness would have no number.
pub const FLATTEST: f64 = 0.005;

/// How wet ground tends to be for its place on the hill: much ground above it and little fall make it wet.
///
/// w = ln(a / tan b), a the ground above per metre of contour, A / cell
///
/// # Units
/// `a` in square metres and the cell in metres; the result is the logarithm of metres.
///
/// # Valid for
/// Ground that falls by at least [`FLATTEST`]; flatter ground counts as falling so much.
///
/// # Source
/// beven-kirkby-1979
pub fn wetness(upslope: Area, cell: Length, slope: f64) -> f64 {
    (upslope.as_square_metres() / cell.as_metres() / slope.max(FLATTEST)).ln()
}

pub(super) fn above_channel_m(drainage: &Drainage, channel: Area) -> Vec<f64> {
    let heights_m = &drainage.filled.heights_m;
    let mut channel_m = vec![f64::NAN; heights_m.len()];
    for cell in &drainage.filled.order {
        let cell = *cell as usize;
        channel_m[cell] = if drainage.upslope(cell) >= channel {
            heights_m[cell]
        } else {
            drainage.downstream(cell).map_or(f64::NAN, |next| channel_m[next])
        };
    }
    channel_m.iter().zip(drainage.grid.heights_m()).map(|(channel, height)| height - channel).collect()
}
