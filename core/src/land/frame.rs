//! The working frame: a transverse Mercator of the plan's own, so that a metre on the map is a metre on the ground.

use super::{MapPoint, Position};
use proj::Proj;
use std::cell::RefCell;

/// A local transverse Mercator on WGS 84 (k0 = 1, no false origin) through PROJ. A value: copy it, send it anywhere.
///
/// # Valid for
/// Holdings within about 50 km of the origin: the scale error is x^2 / (2 R^2), below 1e-6 within 9 km and 3e-5 at 50 km.
///
/// # Source
/// `proj`, operation `tmerc` (the algorithm of Poder and Engsager). Scale error: `snyder-1987`, eq. 8-14, to second order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Frame {
    origin: Position,
}

/// A position that the working frame cannot take.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum FrameError {
    /// Not a place on the globe.
    #[error("longitude {lon_deg}, latitude {lat_deg}: allowed are -180 to 180 and -90 to 90 degrees")]
    NotOnGlobe {
        /// Degrees east.
        lon_deg: f64,
        /// Degrees north.
        lat_deg: f64,
    },
    /// More than 10 degrees from the origin.
    #[error("longitude {lon_deg}, latitude {lat_deg} lies more than 10 degrees from the middle of the plan")]
    TooFar {
        /// Degrees east.
        lon_deg: f64,
        /// Degrees north.
        lat_deg: f64,
    },
}

thread_local! {
    static PROJECTIONS: RefCell<Vec<(Position, Proj)>> = const { RefCell::new(Vec::new()) };
}

/// So far from the origin a place may lie that is more than 10 degrees of longitude off: about 10 degrees of arc, metres.
const POLAR_REACH_M: f64 = 1_100_000.0;

/// Projections kept per thread: more than one plan is rarely open, and each costs PROJ about a millisecond to make.
const KEPT_PER_THREAD: usize = 4;

impl Frame {
    /// The frame whose origin is this place rounded to 0.01 degree.
    pub fn near(place: Position) -> Self {
        let rounded = |e9: i64| (e9 as f64 / 1e7).round() as i64 * 10_000_000;
        Self { origin: Position { lon_e9: rounded(place.lon_e9), lat_e9: rounded(place.lat_e9) } }
    }

    /// The origin: (0, 0) on the map.
    pub fn origin(self) -> Position {
        self.origin
    }

    /// The frame as a PROJ string, for other programs and for transformations from another coordinate system.
    pub fn definition(self) -> String {
        format!(
            "+proj=tmerc +lat_0={} +lon_0={} +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m +no_defs",
            self.origin.lat_deg(),
            self.origin.lon_deg()
        )
    }

    /// From the globe to the map.
    ///
    /// # Errors
    /// [`FrameError`] for what is not on the globe or farther than 10 degrees away.
    pub fn to_map(self, place: Position) -> Result<MapPoint, FrameError> {
        let (lon_deg, lat_deg) = (place.lon_deg(), place.lat_deg());
        if lon_deg.abs() > 180.0 || lat_deg.abs() > 90.0 {
            return Err(FrameError::NotOnGlobe { lon_deg, lat_deg });
        }
        let east_deg = place.east_of_deg(self.origin);
        let is_near = east_deg.abs() <= 10.0 && (lat_deg - self.origin.lat_deg()).abs() <= 10.0;
        // Near a pole, places side by side differ by many degrees of longitude.
        if !is_near && place.arc_m(self.origin) > POLAR_REACH_M {
            return Err(FrameError::TooFar { lon_deg, lat_deg });
        }
        let radians = (lon_deg.to_radians(), lat_deg.to_radians());
        let (x_m, y_m) = self.with_projection(|proj| proj.project(radians, false)).expect("within 10 degrees PROJ converges");
        Ok(MapPoint { x_m, y_m })
    }

    /// From the map to the globe, rounded to 1e-9 degree.
    pub fn to_position(self, point: MapPoint) -> Position {
        let (lon, lat) = self
            .with_projection(|proj| proj.project((point.x_m, point.y_m), true))
            .expect("map points come from within the frame");
        Position::from_degrees(lon.to_degrees(), lat.to_degrees())
    }

    fn with_projection<T>(self, work: impl FnOnce(&Proj) -> T) -> T {
        PROJECTIONS.with_borrow_mut(|kept| {
            if let Some((_, proj)) = kept.iter().find(|(origin, _)| *origin == self.origin) {
                return work(proj);
            }
            if kept.len() >= KEPT_PER_THREAD {
                kept.remove(0);
            }
            let proj = Proj::new(&self.definition()).expect("the definition is our own");
            let result = work(&proj);
            kept.push((self.origin, proj));
            result
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_comes_back_from_the_map_to_the_last_digit() {
        for (lon, lat) in [(-3.81, 56.6), (15.845, 46.459), (179.9995, -45.0), (-71.5, -33.25), (20.0, 69.6)] {
            let place = Position::from_degrees(lon, lat);
            let frame = Frame::near(Position::from_degrees(lon - 0.05, lat + 0.03));
            let back = frame.to_position(frame.to_map(place).expect("near"));
            assert!((back.lon_e9 - place.lon_e9).abs() <= 1 && (back.lat_e9 - place.lat_e9).abs() <= 1, "{lon} {lat}: {back:?}");
        }
    }

    #[test]
    fn a_frame_near_a_pole_reaches_across_it() {
        let frame = Frame::near(Position::from_degrees(20.0, 89.95));
        for (lon, lat) in [(20.0, 89.97), (-160.0, 89.95), (110.0, 89.9), (0.0, 90.0), (-70.0, 89.99)] {
            let place = Position::from_degrees(lon, lat);
            let at = frame.to_map(place).expect("near");
            let back = frame.to_position(at);
            assert!(back.arc_m(place) < 0.01, "{lon} {lat}: {back:?}");
            let arc_m = place.arc_m(frame.origin());
            assert!((at.distance_m(MapPoint::default()) - arc_m).abs() < 0.01 * arc_m + 1.0, "{lon} {lat}: {at:?}");
        }
        let south = Frame::near(Position::from_degrees(20.0, -89.95));
        assert!(south.to_map(Position::from_degrees(-160.0, -89.99)).is_ok());
    }

    #[test]
    fn a_frame_beside_the_date_line_reaches_across_it() {
        let frame = Frame::near(Position::from_degrees(179.999, -17.0));
        let across = frame.to_map(Position::from_degrees(-179.999, -17.0)).expect("near");
        assert!((across.x_m - 106.0).abs() < 120.0 && across.x_m > 0.0, "{across:?}");
    }

    #[test]
    fn a_place_off_the_globe_is_refused_with_its_numbers() {
        let frame = Frame::near(Position::from_degrees(0.0, 50.0));
        assert!(matches!(frame.to_map(Position::from_degrees(0.0, 91.0)), Err(FrameError::NotOnGlobe { .. })));
        assert!(matches!(frame.to_map(Position::from_degrees(40.0, 50.0)), Err(FrameError::TooFar { .. })));
    }
}
