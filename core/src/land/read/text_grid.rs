//! Text grids (.asc): a heading and numbers, parsed in blocks on all threads.

use super::super::{Georeference, Grid};
use super::chunk::Scaling;
use super::number::{number_at, word_at};
use super::sanity::{self, HeightsUnit, Origin, Tally};
use super::text_heading::{self, Heading, shortened};
use super::{GridBytes, GridError, GridFile, Placed, ReadSeek, crs_beside, orient};
use crate::job::Job;
use rayon::prelude::*;
use std::io::{self, Read, Seek, SeekFrom};

/// A heading is never longer.
const HEADING_BYTES: u64 = 64 * 1024;
/// Bytes that one task parses.
pub(super) const BLOCK_BYTES: u64 = 1 << 20;
/// A number is never longer; a task reads so far into the next block to finish its last one.
const WORD_BYTES: u64 = 512;

pub(super) fn read<'a>(
    file: &GridFile<'a>,
    mut handle: Box<dyn ReadSeek + Send + 'a>,
    job: &Job,
    _first_look: &(dyn Fn(Grid) + Sync),
) -> Result<Grid, GridError> {
    let length = handle.seek(SeekFrom::End(0))?;
    handle.seek(SeekFrom::Start(0))?;
    let mut start = Vec::new();
    handle.take(HEADING_BYTES).read_to_end(&mut start)?;
    let heading = text_heading::parse(&start)?;
    let described = crs_beside(file)?;
    let heights_unit = HeightsUnit::of(described.metres_per_height, &described.crs);
    let georeference = Georeference {
        origin: heading.first_centre,
        per_column: (heading.cell.0, 0.0),
        per_row: (0.0, -heading.cell.1),
        crs: described.crs,
    };
    orient::check(&georeference)?;
    let text = Text {
        bytes: file.bytes,
        from: heading.length as u64,
        to: length,
        void: heading.void.map_or(f32::NAN, |void| void as f32),
        scaling: Scaling { metres_per_unit: heights_unit.metres(), ..Scaling::METRES },
    };
    let (heights, tally) = text.heights(&heading, job)?;
    let placed = Placed { columns: heading.columns, rows: heading.rows, georeference };
    let origin = Origin { heights_unit, void_declared: heading.void.is_some(), byte_cells: false };
    sanity::check(orient::upright(placed, heights), &tally, &origin)
}

/// The numbers of a text grid.
struct Text<'a> {
    bytes: &'a dyn GridBytes,
    from: u64,
    to: u64,
    void: f32,
    scaling: Scaling,
}

/// A word that is no number, and where it begins.
struct NotANumber {
    at: u64,
    word: Vec<u8>,
}

impl Text<'_> {
    /// All heights. They are parsed in waves of blocks and moved to their place after each wave, so that never more
    /// than one wave is in memory twice.
    fn heights(&self, heading: &Heading, job: &Job) -> Result<(Vec<f32>, Tally), GridError> {
        let cells = heading.columns * heading.rows;
        let mut heights = Vec::new();
        heights.try_reserve_exact(cells).map_err(|_| GridError::TooLarge {
            columns: heading.columns as u64,
            rows: heading.rows as u64,
            most_cells: super::MOST_CELLS,
        })?;
        let blocks = (self.to - self.from).div_ceil(BLOCK_BYTES);
        let wave = 4 * rayon::current_num_threads() as u64;
        let (mut found, mut tally) = (0_u64, Tally::default());
        for first in (0..blocks).step_by(usize::try_from(wave).unwrap_or(1)) {
            job.proceed()?;
            let parse = |block| self.block(self.from + block * BLOCK_BYTES);
            let parsed = (first..blocks.min(first + wave)).into_par_iter().map(parse).collect::<Result<Vec<_>, _>>()?;
            for (block, counts) in parsed {
                found += block.len() as u64;
                tally = tally.and(counts);
                if found <= cells as u64 {
                    heights.extend_from_slice(&block);
                }
            }
            job.set_share_done((first + wave) as f64 / blocks as f64);
        }
        if found != cells as u64 {
            let (columns, rows) = (heading.columns as u64, heading.rows as u64);
            return Err(GridError::HeightCount { found, allowed: cells as u64, columns, rows });
        }
        Ok((heights, tally))
    }

    /// The heights whose first byte lies in the block that starts at this byte.
    fn block(&self, start: u64) -> Result<(Vec<f32>, Tally), GridError> {
        let end = (start + BLOCK_BYTES).min(self.to);
        let mut handle = self.bytes.open()?;
        let before = start - 1;
        handle.seek(SeekFrom::Start(before))?;
        let mut text = Vec::new();
        handle.take(end + WORD_BYTES - before).read_to_end(&mut text)?;
        let own = usize::try_from(end - before).unwrap_or(usize::MAX).min(text.len());
        let mut tally = Tally::default();
        match self.parse(&text, own, before) {
            Ok(mut heights) => {
                tally.settle(&mut heights, &self.scaling);
                Ok((heights, tally))
            }
            Err(wrong) => Err(self.locate(&wrong)?),
        }
    }

    /// Parses the words that begin before `own`; the first byte is the one before the block.
    fn parse(&self, text: &[u8], own: usize, offset: u64) -> Result<Vec<f32>, NotANumber> {
        let mut heights = Vec::with_capacity(own / 4);
        // A word that began before the block belongs to the block before.
        let mut at = if text[0].is_ascii_whitespace() || offset < self.from { 1 } else { word_at(text).len() };
        loop {
            while at < own && text[at].is_ascii_whitespace() {
                at += 1;
            }
            if at >= own {
                return Ok(heights);
            }
            let Some((number, length)) = number_at(&text[at..]) else {
                return Err(NotANumber { at: offset + at as u64, word: word_at(&text[at..]).to_vec() });
            };
            let number_f32 = number as f32;
            let metres = if self.scaling.is_plain() { number_f32 } else { (number * self.scaling.metres_per_unit) as f32 };
            heights.push(if number_f32 - self.void == 0.0 { f32::NAN } else { metres });
            at += length;
        }
    }

    /// Counts lines up to a bad word: only now, since good files need none.
    fn locate(&self, wrong: &NotANumber) -> io::Result<GridError> {
        let (mut line, mut column) = (1, 1);
        let mut left = self.bytes.open()?.take(wrong.at);
        let mut buffer = vec![0; 64 * 1024];
        loop {
            let count = left.read(&mut buffer)?;
            if count == 0 {
                break;
            }
            for byte in &buffer[..count] {
                (line, column) = if *byte == b'\n' { (line + 1, 1) } else { (line, column + 1) };
            }
        }
        let comma = wrong.word.contains(&b',');
        let hint = if comma { "; this one has a comma" } else { "" };
        Ok(GridError::NotANumber { line, column, found: shortened(&wrong.word), hint })
    }
}
