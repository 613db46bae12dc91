//! One strip or tile: from compressed bytes to rows of heights.
//!
//! # Source
//! `tiff-6`.

use super::{GridError, ReadSeek};
use std::io::{self, BufRead, BufReader, Read, SeekFrom};

/// How the bytes of a chunk are packed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Compression {
    None,
    Lzw,
    Deflate,
    PackBits,
    Zstd,
}

impl Compression {
    /// No decompressor makes more than this of one byte: DEFLATE 258 bytes of two bits, PackBits 128 of two bytes, LZW a text of under 4096 bytes
    /// of nine bits or more, ZSTD a block of 128 KiB from four bytes.
    pub(super) fn most_expansion(self) -> u64 {
        match self {
            Self::None => 1,
            Self::PackBits => 64,
            Self::Deflate => 1 << 11,
            Self::Lzw => 1 << 12,
            Self::Zstd => 1 << 15,
        }
    }
}

/// What was subtracted before compressing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Predictor {
    None,
    Horizontal,
    FloatingPoint,
}

/// The numbers in the cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum SampleKind {
    U8,
    I8,
    U16,
    I16,
    U32,
    I32,
    F32,
    F64,
}

impl SampleKind {
    pub(super) fn bytes(self) -> usize {
        match self {
            Self::U8 | Self::I8 => 1,
            Self::U16 | Self::I16 => 2,
            Self::U32 | Self::I32 | Self::F32 => 4,
            Self::F64 => 8,
        }
    }
}

/// How a row of cells becomes bytes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Coding {
    pub(super) compression: Compression,
    pub(super) predictor: Predictor,
    pub(super) kind: SampleKind,
    /// Numbers per cell; the first one is the height.
    pub(super) samples: usize,
    pub(super) big_endian: bool,
}

/// From the file's numbers to metres: height = (number * scale + offset) * metres_per_unit.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scaling {
    /// The number that means void, already rounded to the kind of the samples.
    pub(super) void: Option<f64>,
    pub(super) scale: f64,
    pub(super) offset: f64,
    pub(super) metres_per_unit: f64,
}

impl Scaling {
    /// Numbers that are metres as they stand.
    pub(super) const METRES: Self = Self { void: None, scale: 1.0, offset: 0.0, metres_per_unit: 1.0 };

    pub(super) fn is_plain(&self) -> bool {
        self.scale - 1.0 == 0.0 && self.offset == 0.0 && self.metres_per_unit - 1.0 == 0.0
    }
}

/// Buffers that a thread uses again for every chunk.
#[derive(Default)]
pub(super) struct Buffers {
    block: Vec<u8>,
    planes: Vec<u8>,
}

/// Decoded bytes at once: large enough that the decompressors run at full speed, small enough to stay in the cache.
const BLOCK_BYTES: usize = 512 * 1024;

/// A piece of a chunk to decode: its place in the file, and how many cells wide and rows high it is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    pub(super) offset: u64,
    pub(super) length: u64,
    pub(super) columns: usize,
    pub(super) rows: usize,
}

impl Coding {
    /// Decodes the first rows of a chunk; each row comes to `take_row` as samples in this machine's byte order.
    pub(super) fn decode(
        &self,
        handle: &mut (dyn ReadSeek + Send + '_),
        piece: Piece,
        buffers: &mut Buffers,
        mut take_row: impl FnMut(usize, &[u8]),
    ) -> io::Result<()> {
        handle.seek(SeekFrom::Start(piece.offset))?;
        let capacity = usize::try_from(piece.length).unwrap_or(usize::MAX).clamp(1, 256 * 1024);
        let packed = BufReader::with_capacity(capacity, handle.take(piece.length));
        let mut bytes = self.unpacked(packed)?;
        let row_bytes = piece.columns * self.samples * self.kind.bytes();
        let rows_at_once = (BLOCK_BYTES / row_bytes).clamp(1, piece.rows.max(1));
        let mut done = 0;
        while done < piece.rows {
            let rows = rows_at_once.min(piece.rows - done);
            buffers.block.resize(rows * row_bytes, 0);
            bytes.read_exact(&mut buffers.block)?;
            for (row, samples) in buffers.block.chunks_exact_mut(row_bytes).enumerate() {
                self.undo_predictor(samples, &mut buffers.planes);
                take_row(done + row, samples);
            }
            done += rows;
        }
        Ok(())
    }

    fn unpacked<'r>(&self, packed: impl BufRead + 'r) -> io::Result<Box<dyn Read + 'r>> {
        Ok(match self.compression {
            Compression::None => Box::new(packed),
            Compression::Deflate => Box::new(flate2::bufread::ZlibDecoder::new(packed)),
            Compression::Zstd => Box::new(zstd::Decoder::with_buffer(packed)?),
            Compression::PackBits => Box::new(PackBits { packed, run: Run::Repeat(0, 0) }),
            Compression::Lzw => {
                let early_change = weezl::decode::Configuration::with_tiff_size_switch(weezl::BitOrder::Msb, 8);
                Box::new(Lzw { packed, decoder: early_change.with_yield_on_full_buffer(true).build() })
            }
        })
    }

    fn undo_predictor(&self, row: &mut [u8], planes: &mut Vec<u8>) {
        let width = self.kind.bytes();
        if self.predictor == Predictor::FloatingPoint {
            add_up(row, self.samples);
            planes.clear();
            planes.extend_from_slice(row);
            match width {
                4 => gather::<4>(planes, row),
                _ => gather::<8>(planes, row),
            }
            return;
        }
        if self.big_endian != cfg!(target_endian = "big") {
            row.chunks_exact_mut(width).for_each(<[u8]>::reverse);
        }
        if self.predictor == Predictor::Horizontal {
            match width {
                1 => add_up(row, self.samples),
                2 => add_up_words::<2>(row, self.samples),
                4 => add_up_words::<4>(row, self.samples),
                _ => add_up_words::<8>(row, self.samples),
            }
        }
    }

    /// Turns a row of samples into heights, as many as `heights` has room for.
    pub(super) fn heights(&self, row: &[u8], scaling: &Scaling, heights: &mut [f32]) {
        let step = self.samples;
        match self.kind {
            SampleKind::U8 => convert(row, step, scaling, heights, |[byte]: [u8; 1]| f64::from(byte)),
            SampleKind::I8 => convert(row, step, scaling, heights, |bytes| f64::from(i8::from_ne_bytes(bytes))),
            SampleKind::U16 => convert(row, step, scaling, heights, |bytes| f64::from(u16::from_ne_bytes(bytes))),
            SampleKind::I16 => convert(row, step, scaling, heights, |bytes| f64::from(i16::from_ne_bytes(bytes))),
            SampleKind::U32 => convert(row, step, scaling, heights, |bytes| f64::from(u32::from_ne_bytes(bytes))),
            SampleKind::I32 => convert(row, step, scaling, heights, |bytes| f64::from(i32::from_ne_bytes(bytes))),
            SampleKind::F32 => convert(row, step, scaling, heights, |bytes| f64::from(f32::from_ne_bytes(bytes))),
            SampleKind::F64 => convert(row, step, scaling, heights, f64::from_ne_bytes),
        }
    }
}

fn convert<const N: usize>(row: &[u8], step: usize, scaling: &Scaling, heights: &mut [f32], number: impl Fn([u8; N]) -> f64) {
    let void = scaling.void.unwrap_or(f64::NAN);
    let numbers = row.as_chunks::<N>().0.iter().step_by(step).map(|bytes| number(*bytes));
    // Two loops, so that plain metres (nearly every file) come through bit by bit and without arithmetic.
    if scaling.is_plain() {
        for (height, number) in heights.iter_mut().zip(numbers) {
            *height = if number - void == 0.0 { f32::NAN } else { number as f32 };
        }
    } else {
        for (height, number) in heights.iter_mut().zip(numbers) {
            let metres = (number * scaling.scale + scaling.offset) * scaling.metres_per_unit;
            *height = if number - void == 0.0 { f32::NAN } else { metres as f32 };
        }
    }
}

/// Each byte plus the one `distance` before it.
fn add_up(row: &mut [u8], distance: usize) {
    if distance == 1 {
        let mut sum = 0_u8;
        for byte in row {
            sum = sum.wrapping_add(*byte);
            *byte = sum;
        }
    } else {
        for i in distance..row.len() {
            row[i] = row[i].wrapping_add(row[i - distance]);
        }
    }
}

/// Each whole number of N bytes plus the one `distance` numbers before it.
fn add_up_words<const N: usize>(row: &mut [u8], distance: usize) {
    let words = row.as_chunks_mut::<N>().0;
    for i in distance..words.len() {
        let mut bytes = [0; 8];
        bytes[..N].copy_from_slice(&words[i]);
        let mut before = [0; 8];
        before[..N].copy_from_slice(&words[i - distance]);
        let sum = u64::from_le_bytes(swap_if_big(bytes, N)).wrapping_add(u64::from_le_bytes(swap_if_big(before, N)));
        words[i].copy_from_slice(&swap_if_big(sum.to_le_bytes(), N)[..N]);
    }
}

/// On a big-endian machine the word's N bytes reversed; on all others as they are.
fn swap_if_big(mut bytes: [u8; 8], n: usize) -> [u8; 8] {
    if cfg!(target_endian = "big") {
        bytes[..n].reverse();
    }
    bytes
}

/// Puts floating-point numbers together from planes of bytes, the most significant plane first.
fn gather<const N: usize>(planes: &[u8], row: &mut [u8]) {
    let numbers = row.as_chunks_mut::<N>().0;
    let count = numbers.len();
    for (i, number) in numbers.iter_mut().enumerate() {
        let mut bytes = [0; N];
        for (plane, byte) in bytes.iter_mut().enumerate() {
            *byte = planes[plane * count + i];
        }
        if cfg!(target_endian = "little") {
            bytes.reverse();
        }
        *number = bytes;
    }
}

struct Lzw<R> {
    packed: R,
    decoder: weezl::decode::Decoder,
}

impl<R: BufRead> Read for Lzw<R> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        loop {
            let step = self.decoder.decode_bytes(self.packed.fill_buf()?, out);
            self.packed.consume(step.consumed_in);
            match step.status {
                Ok(weezl::LzwStatus::Ok) if step.consumed_out == 0 => {}
                Ok(weezl::LzwStatus::NoProgress) => return Err(io::ErrorKind::UnexpectedEof.into()),
                Ok(_) => return Ok(step.consumed_out),
                Err(error) => return Err(io::Error::new(io::ErrorKind::InvalidData, error)),
            }
        }
    }
}

struct PackBits<R> {
    packed: R,
    run: Run,
}

/// What is left of the run that PackBits is in: so many bytes as they stand, or so many of the same byte.
enum Run {
    Literal(usize),
    Repeat(usize, u8),
}

impl<R: BufRead> PackBits<R> {
    fn byte(&mut self) -> io::Result<u8> {
        let mut byte = [0];
        self.packed.read_exact(&mut byte)?;
        Ok(byte[0])
    }

    fn next_run(&mut self) -> io::Result<()> {
        self.run = match self.byte()? {
            128 => Run::Literal(0),
            long @ 0..=127 => Run::Literal(usize::from(long) + 1),
            short => Run::Repeat(257 - usize::from(short), self.byte()?),
        };
        Ok(())
    }
}

impl<R: BufRead> Read for PackBits<R> {
    fn read(&mut self, out: &mut [u8]) -> io::Result<usize> {
        if out.is_empty() {
            return Ok(0);
        }
        while matches!(self.run, Run::Literal(0) | Run::Repeat(0, _)) {
            self.next_run()?;
        }
        match &mut self.run {
            Run::Literal(left) => {
                let count = (*left).min(out.len());
                self.packed.read_exact(&mut out[..count])?;
                *left -= count;
                Ok(count)
            }
            Run::Repeat(left, byte) => {
                let count = (*left).min(out.len());
                out[..count].fill(*byte);
                *left -= count;
                Ok(count)
            }
        }
    }
}

/// What went wrong in a chunk, with its place.
pub(super) fn damage(error: &io::Error, first_row: usize, first_column: usize) -> GridError {
    use io::ErrorKind::{InvalidData, InvalidInput, Other, UnexpectedEof};
    let place = format!("row {}, column {}", first_row + 1, first_column + 1);
    match error.kind() {
        UnexpectedEof => GridError::Damaged { part: format!("the cells from {place} on end too early") },
        InvalidData | InvalidInput | Other => {
            GridError::Damaged { part: format!("the cells from {place} on cannot be decompressed ({error})") }
        }
        _ => GridError::Unreadable { reason: error.to_string() },
    }
}
