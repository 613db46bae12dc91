//! Small pictures to start from, in each form.

use crate::chance::Chance;
use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use std::io::Cursor;

fn picture() -> DynamicImage {
    let points = RgbImage::from_fn(24, 16, |x, y| Rgb([(x * 10) as u8, (y * 15) as u8, ((x * y) % 251) as u8]));
    DynamicImage::ImageRgb8(points)
}

fn coded(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut file = Cursor::new(Vec::new());
    picture.write_to(&mut file, format).expect("a small picture can be coded");
    file.into_inner()
}

/// A PNG of one of the usual depths.
pub fn png(chance: &mut Chance) -> Vec<u8> {
    let picture = picture();
    let picture = match chance.below(5) {
        0 => DynamicImage::ImageRgba8(picture.to_rgba8()),
        1 => DynamicImage::ImageLuma8(picture.to_luma8()),
        2 => DynamicImage::ImageLumaA8(picture.to_luma_alpha8()),
        3 => DynamicImage::ImageRgb16(picture.to_rgb16()),
        _ => picture,
    };
    coded(&picture, ImageFormat::Png)
}

/// A JPEG.
pub fn jpeg() -> Vec<u8> {
    coded(&picture(), ImageFormat::Jpeg)
}

/// A TIFF without a place.
pub fn tiff() -> Vec<u8> {
    coded(&picture(), ImageFormat::Tiff)
}
