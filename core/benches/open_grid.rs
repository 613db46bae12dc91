//! Opening a grid of 2000 by 2000 cells: GeoTIFF in tiles (DEFLATE, floating-point predictor), and text.

use criterion::{Criterion, criterion_group, criterion_main};
use hillwire_core::job::Job;
use hillwire_core::land::{GridFile, read_grid};
use std::hint::black_box;
use std::io::Write;

const SIDE: usize = 2000;
const TILE: usize = 250;

/// Hills with a little roughness, in hundredths of a metre as lidar grids are.
fn height(column: usize, row: usize) -> f32 {
    let (x, y) = (column as f32, row as f32);
    let rough = ((column * 7919 + row * 104_729) % 97) as f32 / 97.0;
    let height = 300.0 + 40.0 * (x / 310.0).sin() * (y / 270.0).cos() + 3.0 * (x / 17.0 + y / 23.0).sin() + 0.1 * rough;
    (height * 100.0).round() / 100.0
}

/// A tile as the floating-point predictor stores it: rows of byte planes, each byte the difference to the one before.
fn tile(first_column: usize, first_row: usize) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(TILE * TILE * 4);
    for row in first_row..first_row + TILE {
        let numbers: Vec<[u8; 4]> = (first_column..first_column + TILE).map(|column| height(column, row).to_be_bytes()).collect();
        let mut before = 0;
        for byte in (0..4).flat_map(|plane| numbers.iter().map(move |number| number[plane])) {
            bytes.push(byte.wrapping_sub(before));
            before = byte;
        }
    }
    let mut packed = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::default());
    packed.write_all(&bytes).expect("memory");
    packed.finish().expect("memory")
}

/// A TIFF file written by hand: `tiff` writes neither tiles nor this predictor.
fn geotiff() -> Vec<u8> {
    let across = SIDE / TILE;
    let tiles: Vec<Vec<u8>> = (0..across * across).map(|k| tile(k % across * TILE, k / across * TILE)).collect();
    let mut file = b"II*\0\0\0\0\0".to_vec();
    let long = |file: &mut Vec<u8>, bytes: &[u8]| {
        let at = file.len() as u32;
        file.extend_from_slice(bytes);
        at
    };
    let offsets: Vec<u8> = tiles.iter().flat_map(|tile| long(&mut file, tile).to_le_bytes()).collect();
    let lengths: Vec<u8> = tiles.iter().flat_map(|tile| (tile.len() as u32).to_le_bytes()).collect();
    let doubles = |numbers: &[f64]| numbers.iter().flat_map(|number| number.to_le_bytes()).collect::<Vec<u8>>();
    let keys: Vec<u8> = [1_u16, 1, 0, 2, 1024, 0, 1, 1, 3072, 0, 1, 32633].iter().flat_map(|key| key.to_le_bytes()).collect();
    let count = tiles.len() as u32;
    let (short, long_type, double) = (3_u16, 4_u16, 12_u16);
    let entries = [
        (256, short, 1, SIDE as u32),
        (257, short, 1, SIDE as u32),
        (258, short, 1, 32),
        (259, short, 1, 8),
        (262, short, 1, 1),
        (277, short, 1, 1),
        (317, short, 1, 3),
        (322, short, 1, TILE as u32),
        (323, short, 1, TILE as u32),
        (324, long_type, count, long(&mut file, &offsets)),
        (325, long_type, count, long(&mut file, &lengths)),
        (339, short, 1, 3),
        (33550, double, 3, long(&mut file, &doubles(&[1.0, 1.0, 0.0]))),
        (33922, double, 6, long(&mut file, &doubles(&[0.0, 0.0, 0.0, 500_000.0, 5_000_000.0, 0.0]))),
        (34735, short, 12, long(&mut file, &keys)),
    ];
    let directory = file.len() as u32;
    file[4..8].copy_from_slice(&directory.to_le_bytes());
    file.extend((entries.len() as u16).to_le_bytes());
    for (tag, kind, count, value) in entries {
        file.extend((tag as u16).to_le_bytes());
        file.extend(kind.to_le_bytes());
        file.extend(count.to_le_bytes());
        file.extend(value.to_le_bytes());
    }
    file.extend([0; 4]);
    file
}

fn text() -> Vec<u8> {
    let mut text = format!("ncols {SIDE}\nnrows {SIDE}\nxllcorner 500000\nyllcorner 5000000\ncellsize 1\n").into_bytes();
    for row in 0..SIDE {
        for column in 0..SIDE {
            write!(text, "{:.2} ", height(column, row)).expect("memory");
        }
        text.push(b'\n');
    }
    text
}

fn open_grid(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("open_grid");
    group.sample_size(10);
    for (name, bytes) in [("geotiff_2000", geotiff()), ("text_2000", text())] {
        let file = GridFile { name, bytes: &bytes, prj: Some("EPSG:32633") };
        group.bench_function(name, |bench| bench.iter(|| read_grid(black_box(&file), &Job::new()).expect("a grid")));
    }
    group.finish();
}

criterion_group!(benches, open_grid);
criterion_main!(benches);
