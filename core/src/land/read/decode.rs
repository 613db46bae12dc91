//! All chunks of a GeoTIFF, on all threads, into one array.

use super::chunk::{Buffers, Coding, Piece, Scaling, damage};
use super::sanity::Tally;
use super::{GridBytes, GridError, ReadSeek, room_for};
use crate::job::Job;
use rayon::prelude::*;
use std::io;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Where the chunks of an image lie and how they are coded.
#[derive(Clone, Debug)]
pub(super) struct Layout {
    pub(super) columns: usize,
    pub(super) rows: usize,
    pub(super) chunk_columns: usize,
    pub(super) chunk_rows: usize,
    /// Offset and length of each chunk, row by row of chunks; length 0 where nothing was stored.
    pub(super) chunks: Vec<(u64, u64)>,
    pub(super) coding: Coding,
    pub(super) scaling: Scaling,
}

struct Worker<'a> {
    handle: io::Result<Box<dyn ReadSeek + Send + 'a>>,
    buffers: Buffers,
}

impl<'a> Worker<'a> {
    fn open(bytes: &'a dyn GridBytes) -> Self {
        Self { handle: bytes.open(), buffers: Buffers::default() }
    }
}

/// Rows that one task decodes at least: fewer would open more handles than the work is worth.
const BAND_ROWS: usize = 64;

impl Layout {
    fn across(&self) -> usize {
        self.columns.div_ceil(self.chunk_columns)
    }

    /// Decodes every cell.
    pub(super) fn decode(&self, bytes: &dyn GridBytes, job: &Job) -> Result<(Vec<f32>, Tally), GridError> {
        let mut heights = room_for(self.columns, self.rows)?;
        let chunk_rows_per_band = (BAND_ROWS / self.chunk_rows).max(1);
        let band_rows = self.chunk_rows.saturating_mul(chunk_rows_per_band).min(self.rows);
        let bands = self.rows.div_ceil(band_rows);
        let done = AtomicUsize::new(0);
        let tally = heights
            .par_chunks_mut(band_rows * self.columns)
            .enumerate()
            .map_init(
                || Worker::open(bytes),
                |worker, (band, heights)| {
                    let tally = self.decode_band(worker, band * chunk_rows_per_band, heights, job)?;
                    job.set_share_done((done.fetch_add(1, Ordering::Relaxed) + 1) as f64 / bands as f64);
                    Ok::<Tally, GridError>(tally)
                },
            )
            .try_reduce(Tally::default, |a, b| Ok(a.and(b)))?;
        Ok((heights, tally))
    }

    fn decode_band(
        &self,
        worker: &mut Worker,
        first_chunk_row: usize,
        heights: &mut [f32],
        job: &Job,
    ) -> Result<Tally, GridError> {
        let mut tally = Tally::default();
        for (below, heights) in heights.chunks_mut(self.chunk_rows.saturating_mul(self.columns)).enumerate() {
            for across in 0..self.across() {
                job.proceed()?;
                tally = tally.and(self.decode_chunk(worker, first_chunk_row + below, across, heights)?);
            }
        }
        Ok(tally)
    }

    /// Decodes the rows of one chunk that `heights` has room for; its rows are as wide as the grid.
    fn decode_chunk(
        &self,
        worker: &mut Worker,
        chunk_row: usize,
        across: usize,
        heights: &mut [f32],
    ) -> Result<Tally, GridError> {
        let first_column = across * self.chunk_columns;
        let columns = self.chunk_columns.min(self.columns - first_column);
        let rows = heights.len() / self.columns;
        let mut tally = Tally::default();
        let mut settle = |row: usize, fill: &dyn Fn(&mut [f32])| {
            let row = &mut heights[row * self.columns + first_column..][..columns];
            fill(row);
            tally.settle(row, &self.scaling);
        };
        let (offset, length) = self.chunks[chunk_row * self.across() + across];
        if length == 0 {
            (0..rows).for_each(|row| settle(row, &|heights| heights.fill(f32::NAN)));
            return Ok(tally);
        }
        let handle = worker.handle.as_mut().map_err(|error| GridError::Unreadable { reason: error.to_string() })?;
        let piece = Piece { offset, length, columns: self.chunk_columns, rows };
        self.coding
            .decode(handle.as_mut(), piece, &mut worker.buffers, |row, samples| {
                settle(row, &|heights| self.coding.heights(samples, &self.scaling, heights));
            })
            .map_err(|error| damage(&error, chunk_row * self.chunk_rows, first_column))?;
        Ok(tally)
    }

    /// Every how many-th cell a first look can have, for little work: only the top row of a chunk is decoded.
    /// `None` where that would show nothing.
    fn first_look_step(&self) -> Option<usize> {
        let step = self.chunk_rows.checked_mul(16_usize.div_ceil(self.chunk_rows))?;
        (self.rows / step >= 8 && self.columns / step >= 8).then_some(step)
    }

    /// Every n-th cell of every n-th row, n = `step`.
    pub(super) fn decode_coarse(&self, bytes: &dyn GridBytes, job: &Job) -> Result<Option<Coarse>, GridError> {
        let Some(step) = self.first_look_step() else { return Ok(None) };
        let (columns, rows) = (self.columns.div_ceil(step), self.rows.div_ceil(step));
        let mut heights = room_for(columns, rows)?;
        heights.par_chunks_mut(columns).enumerate().try_for_each_init(
            || (Worker::open(bytes), vec![0.0; self.columns]),
            |(worker, whole_row), (row, heights)| {
                job.proceed()?;
                for across in 0..self.across() {
                    self.decode_chunk(worker, row * step / self.chunk_rows, across, whole_row)?;
                }
                for (height, sample) in heights.iter_mut().zip(whole_row.iter().step_by(step)) {
                    *height = *sample;
                }
                Ok::<(), GridError>(())
            },
        )?;
        Ok(Some(Coarse { columns, rows, step, heights }))
    }
}

/// Every n-th cell of a grid, from cell (0, 0) on.
pub(super) struct Coarse {
    pub(super) columns: usize,
    pub(super) rows: usize,
    pub(super) step: usize,
    pub(super) heights: Vec<f32>,
}
