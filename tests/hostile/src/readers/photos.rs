//! Air photos, PNG, JPEG and TIFF, with the files that say where they lie.

use super::grids::projection_file;
use super::{Files, name_of};
use crate::chance::Chance;
use crate::desk::{Desk, Ended, refused};
use crate::{bytes, packed, photograph, words};
use hillwire::files::open_air_photo;
use hillwire_core::job::Job;
use hillwire_core::land::AirPhoto;
use std::path::Path;
use std::sync::Arc;

const WORLD: &str = "0.5\n0\n0\n-0.5\n499950.25\n6094799.75\n";

pub fn spoil_png(chance: &mut Chance) -> Files {
    let png = photograph::png(chance);
    let spoiled = if chance.one_in(4) {
        let mut spoiled = png;
        bytes::spoil(&mut spoiled, b"IDAT\0\0\0\0IEND", chance);
        spoiled
    } else {
        packed::spoil_png(&png, chance)
    };
    with_place("air.png", "air.pgw", spoiled, chance)
}

pub fn spoil_jpeg(chance: &mut Chance) -> Files {
    let mut jpeg = photograph::jpeg();
    bytes::spoil(&mut jpeg, b"\xff\xc0\xff\xc4\xff\xda\xff\xdb\xff\xd0\xff\xd9\xff\xe1", chance);
    with_place("air.jpg", "air.jgw", jpeg, chance)
}

fn with_place(name: &str, world: &str, picture: Vec<u8>, chance: &mut Chance) -> Files {
    let mut files = vec![(name.to_owned(), picture)];
    let lines = if chance.one_in(3) { words::spoil(WORLD, WORLD, chance) } else { WORLD.as_bytes().to_vec() };
    if !chance.one_in(20) {
        files.push((world.to_owned(), lines));
    }
    if chance.one_in(4) {
        files.push(("air.prj".to_owned(), projection_file(chance)));
    }
    files
}

/// A picture is laid on the farm's map and cut into tiles.
pub fn read(desk: &Desk, path: &Path, _: &mut Chance) -> Ended {
    let (farm, name) = (desk.farm(), name_of(path));
    let crs = &farm.ground.ground.grid().georeference.crs;
    let read = match open_air_photo(path, Some(crs), &Job::new()) {
        Ok(read) => read,
        Err(trouble) => return refused(&trouble.to_string(), &name, &[]),
    };
    let photo = match AirPhoto::new(Arc::new(read.picture), farm.ground.ground.frame()) {
        Ok(photo) => photo,
        // As the window says it: the file, then why.
        Err(trouble) => return refused(&format!("{name}: {trouble}"), &name, &[]),
    };
    for level in [0, 3, 15] {
        let _ = photo.tile(level, 0, 0);
    }
    Ended::Read
}
