//! `hillwire survey`: what an elevation grid is, and what can be made from it.

use super::Units;
use super::answer::{Answer, Stop};
use super::contours::contours_geojson;
use super::json::{maybe, number, place};
use super::outputs::{GEOJSON, GEOTIFF, Outputs, PNG, Writing};
use super::table::{Side, table};
use super::typed::number as typed_number;
use crate::files::{Guard, Waiting, free_memory, open_grid, place_grid};
use crate::words;
use clap::Args;
use hillwire_core::bounds::DRAINAGE_BYTES;
use hillwire_core::job::Job;
use hillwire_core::land::{
    self, ContourError, DrainageError, Grid, Ground, Survey, drainage_ha, shade_grid, slope_rows_pct, write_geotiff,
};
use hillwire_core::plan::UnitSystem;
use hillwire_core::units::{Area, Length};
use image::{ExtendedColorType, ImageEncoder, codecs::png::PngEncoder};
use serde_json::{Value, json};
use std::io::{self, Write};
use std::path::PathBuf;
use std::sync::Arc;

/// Size, place, heights and slopes of an elevation grid (GeoTIFF, or text grid .asc with a .prj beside it).
#[derive(Args)]
#[command(
    after_help = "Example:\n  hillwire survey hill.tif --slope slope.tif --drainage drainage.tif --shade shade.png --contours lines.geojson --every 5"
)]
pub struct Options {
    /// Elevation grid
    #[arg(value_name = "GRID")]
    grid: PathBuf,
    /// Write the slope of every cell in per cent, as GeoTIFF (Horn's method)
    #[arg(long, value_name = "F.tif")]
    slope: Option<PathBuf>,
    /// Write how many hectares drain through every cell, as GeoTIFF (hollows filled, D-infinity)
    #[arg(long, value_name = "F.tif")]
    drainage: Option<PathBuf>,
    /// Write the ground shaded from the north-west, as a picture
    #[arg(long, value_name = "F.png")]
    shade: Option<PathBuf>,
    /// Write contour lines, as GeoJSON
    #[arg(long, value_name = "F.geojson")]
    contours: Option<PathBuf>,
    /// Height between contour lines, in metres
    #[arg(long, value_name = "M", default_value_t = 5.0, value_parser = typed_number, requires = "contours")]
    every: f64,
    /// Print one JSON document, in SI units
    #[arg(long)]
    json: bool,
    /// Units of the table
    #[arg(long, value_enum, default_value = "metric")]
    units: Units,
    #[command(flatten)]
    writing: Writing,
}

/// Surveys a grid.
///
/// # Errors
/// When the grid cannot be used.
pub fn survey(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let outputs = Outputs::new(options.writing).file(options.slope.as_ref(), GEOTIFF).file(options.drainage.as_ref(), GEOTIFF);
    let outputs = outputs.file(options.shade.as_ref(), PNG).file(options.contours.as_ref(), GEOJSON);
    outputs.check_names()?;
    outputs.check(Guard::of_grid(&options.grid))?;
    let grid = Arc::new(open_grid(&options.grid, job)?);
    let ground = place_grid(&options.grid, Arc::clone(&grid), None)?;
    let survey = land::survey(&grid);
    job.proceed()?;
    let mut answer =
        if options.json { Answer::json(&as_json(&survey, &ground)) } else { Answer::text(as_table(options, &survey, &ground)) };
    answer.notes = grid.notes.iter().map(|note| format!("{}: {}", options.grid.display(), words::grid_note(note))).collect();
    answer.outputs = pictures(options, &grid, &ground, job)?;
    answer.notes.extend(no_contour(options, &survey));
    Ok(answer)
}

/// What is said where no multiple of the interval lies between the lowest and the highest ground.
fn no_contour(options: &Options, survey: &Survey) -> Option<String> {
    let (file, lowest_m, highest_m) = (options.contours.as_ref()?, survey.lowest_m?, survey.highest_m?);
    let falls_on_it = (lowest_m / options.every).ceil() <= (highest_m / options.every).floor();
    (!falls_on_it).then(|| {
        let every = if options.every < 1e9 { options.every.to_string() } else { format!("{:e}", options.every) };
        format!(
            "{}: no contour line every {every} m falls on this ground, which lies between {lowest_m:.1} and {highest_m:.1} m",
            file.display()
        )
    })
}

/// Each goes to the disk as it is made: a large grid is never held a second time.
fn pictures(options: &Options, grid: &Grid, ground: &Ground, job: &Job) -> Result<Vec<Waiting>, Stop> {
    let mut pictures = Vec::new();
    if let Some(path) = &options.slope {
        let fill = |first: usize, slopes: &mut [f32]| slope_rows_pct(grid, first, slopes);
        pictures.push(Waiting::make(path, |file| write_geotiff(file, grid, fill).map_err(io::Error::other))?);
        job.proceed()?;
    }
    if let Some(path) = &options.drainage {
        let name = options.grid.display();
        let drained = drainage_ha(grid, free_memory().min(DRAINAGE_BYTES), job);
        let hectares = drained.map_err(|trouble| match trouble {
            DrainageError::Cancelled(cancelled) => cancelled.into(),
            trouble => Stop::unusable(format!("{name}: {trouble}")),
        })?;
        let fill = |first: usize, rows: &mut [f32]| {
            let drained = &hectares[first * grid.columns..][..rows.len()];
            rows.iter_mut().zip(drained).for_each(|(to, hectares)| *to = *hectares as f32);
        };
        pictures.push(Waiting::make(path, |file| write_geotiff(file, grid, fill).map_err(io::Error::other))?);
        job.proceed()?;
    }
    if let Some(path) = &options.shade {
        pictures.push(Waiting::make(path, |file| png(file, grid))?);
        job.proceed()?;
    }
    if let Some(path) = &options.contours {
        let name = options.grid.display();
        let lines = contours_geojson(ground, options.every, job).map_err(|trouble| match trouble {
            ContourError::Cancelled(cancelled) => cancelled.into(),
            trouble => Stop::unusable(format!("{name}: {trouble}")),
        });
        pictures.push(Waiting::of_bytes(path, &lines?)?);
    }
    Ok(pictures)
}

fn png(file: impl Write, grid: &Grid) -> io::Result<()> {
    let side = |cells: usize| u32::try_from(cells).map_err(io::Error::other);
    let (width, height) = (side(grid.columns)?, side(grid.rows)?);
    PngEncoder::new(file).write_image(&shade_grid(grid), width, height, ExtendedColorType::L8).map_err(io::Error::other)
}

fn as_json(survey: &Survey, ground: &Ground) -> Value {
    json!({
        "columns": survey.columns,
        "rows": survey.rows,
        "cell_x_m": number(survey.cell_x_m),
        "cell_y_m": number(survey.cell_y_m),
        "crs": survey.crs,
        "lowest_m": maybe(survey.lowest_m),
        "highest_m": maybe(survey.highest_m),
        "void_cells": survey.void_cells,
        "mean_slope_pct": maybe(survey.mean_slope_pct),
        "steepest_slope_pct": maybe(survey.steepest_slope_pct),
        "mean_m": maybe(survey.mean_m),
        "median_slope_pct": maybe(survey.median_slope_pct),
        "middle_at": place(middle(ground)),
    })
}

fn middle(ground: &Ground) -> land::Position {
    ground.frame().to_position(ground.extent().centre())
}

fn as_table(options: &Options, survey: &Survey, ground: &Ground) -> String {
    let units = UnitSystem::from(options.units);
    let length = |metres: f64| words::length(Length::metres(metres), units);
    let known = |metres: Option<f64>| metres.map_or("unknown".to_owned(), length);
    let slope = |percent: Option<f64>| percent.map_or("unknown".to_owned(), words::percent);
    let (width_m, height_m) = (survey.columns as f64 * survey.cell_x_m, survey.rows as f64 * survey.cell_y_m);
    let middle = middle(ground);
    let rows = [
        ("Cells", format!("{} columns, {} rows", words::count(survey.columns as f64), words::count(survey.rows as f64))),
        ("Size of a cell", format!("{} by {}", length(survey.cell_x_m), length(survey.cell_y_m))),
        (
            "Covers",
            format!(
                "{} by {}, {}",
                length(width_m),
                length(height_m),
                words::area(Area::square_metres(width_m * height_m), units)
            ),
        ),
        ("Coordinates", survey.crs.clone()),
        ("Middle at", format!("{:.5}, {:.5} (latitude, longitude)", middle.lat_deg(), middle.lon_deg())),
        ("Heights", format!("{} to {}", known(survey.lowest_m), known(survey.highest_m))),
        ("Without a height", format!("{} cells", words::count(survey.void_cells as f64))),
        ("Slope", format!("{} in the mean, {} at the steepest", slope(survey.mean_slope_pct), slope(survey.steepest_slope_pct))),
    ];
    let rows: Vec<Vec<String>> = rows.into_iter().map(|(what, value)| vec![what.to_owned(), value]).collect();
    table(&[("Grid", Side::Left), (&options.grid.display().to_string(), Side::Left)], &rows)
}
