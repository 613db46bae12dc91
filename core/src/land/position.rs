//! Where things are: on the globe (as the plan file keeps them) and on the map (metres in the working frame).

use std::ops::{Add, Mul, Sub};

/// A place on WGS 84, kept as whole billionths of a degree (0.1 mm), so that reading and writing never drift.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Position {
    /// Longitude east, billionths of a degree.
    pub lon_e9: i64,
    /// Latitude north, billionths of a degree.
    pub lat_e9: i64,
}

impl Position {
    /// From degrees, rounded to 1e-9 degree.
    pub fn from_degrees(lon_deg: f64, lat_deg: f64) -> Self {
        Self { lon_e9: (lon_deg * 1e9).round() as i64, lat_e9: (lat_deg * 1e9).round() as i64 }
    }
    /// Longitude, degrees east.
    pub fn lon_deg(self) -> f64 {
        self.lon_e9 as f64 / 1e9
    }
    /// Latitude, degrees north.
    pub fn lat_deg(self) -> f64 {
        self.lat_e9 as f64 / 1e9
    }
}

/// A point on the map: metres east and north of the working frame's origin.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MapPoint {
    /// Metres east.
    pub x_m: f64,
    /// Metres north.
    pub y_m: f64,
}

impl MapPoint {
    /// From metres east and north.
    pub const fn new(x_m: f64, y_m: f64) -> Self {
        Self { x_m, y_m }
    }
    /// Distance to another point on the map, metres.
    pub fn distance_m(self, other: Self) -> f64 {
        (self.x_m - other.x_m).hypot(self.y_m - other.y_m)
    }
    /// The point this share of the way towards another one: 0 here, 1 there.
    pub fn towards(self, other: Self, share: f64) -> Self {
        self + (other - self) * share
    }
}

impl Add for MapPoint {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x_m + other.x_m, self.y_m + other.y_m)
    }
}

impl Sub for MapPoint {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x_m - other.x_m, self.y_m - other.y_m)
    }
}

impl Mul<f64> for MapPoint {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::new(self.x_m * factor, self.y_m * factor)
    }
}

/// An upright rectangle on the map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MapRect {
    /// South-west corner.
    pub min: MapPoint,
    /// North-east corner.
    pub max: MapPoint,
}

impl MapRect {
    /// The smallest one that holds all points; `None` without a point.
    pub fn around(points: impl IntoIterator<Item = MapPoint>) -> Option<Self> {
        points.into_iter().fold(None, |rect: Option<Self>, point| {
            Some(rect.map_or(Self { min: point, max: point }, |rect| Self {
                min: MapPoint::new(rect.min.x_m.min(point.x_m), rect.min.y_m.min(point.y_m)),
                max: MapPoint::new(rect.max.x_m.max(point.x_m), rect.max.y_m.max(point.y_m)),
            }))
        })
    }
    /// Its middle.
    pub fn centre(self) -> MapPoint {
        self.min.towards(self.max, 0.5)
    }
    /// Whether the point lies in it or on its edge.
    pub fn contains(self, point: MapPoint) -> bool {
        (self.min.x_m..=self.max.x_m).contains(&point.x_m) && (self.min.y_m..=self.max.y_m).contains(&point.y_m)
    }
}
