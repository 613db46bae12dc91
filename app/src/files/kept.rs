//! What a file is before it is replaced: who owns it, who may write it, and whether it is still the one that was read.

use std::fs::{self, File, Metadata, OpenOptions};
use std::io;
use std::path::Path;
use std::time::SystemTime;

/// The new file belongs to whom the old one belonged to, with its rights, as far as this user may give files away.
pub(super) fn keep_owner_and_rights(file: &File, before: &Metadata) {
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, fchown};
        let is_same = file.metadata().is_ok_and(|own| (own.uid(), own.gid()) == (before.uid(), before.gid()));
        if !is_same && fchown(file, Some(before.uid()), Some(before.gid())).is_err() {
            let _ = fchown(file, None, Some(before.gid()));
        }
    }
    // The rights a file is made with lack what the user's mask takes away.
    let _ = file.set_permissions(before.permissions());
}

/// Whether a file is there that may not be written, although one could put another in its place.
pub fn is_write_protected(path: &Path) -> bool {
    let Ok(known) = fs::metadata(path) else { return false };
    let is_refused =
        || matches!(OpenOptions::new().write(true).open(path), Err(why) if why.kind() == io::ErrorKind::PermissionDenied);
    known.is_file() && (known.permissions().readonly() || is_refused())
}

/// What tells whether a file is still as it was read or written: its bytes by their checksum, and for a quick look its length and time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FileMark {
    len: u64,
    modified: Option<SystemTime>,
    sum: u32,
}

impl FileMark {
    /// The same, with the time when the file was written last.
    pub fn written(self, modified: Option<SystemTime>) -> Self {
        Self { modified, ..self }
    }

    /// Whether the content is the same.
    pub fn same_content(&self, other: &Self) -> bool {
        (self.len, self.sum) == (other.len, other.sum)
    }

    /// Whether length and time of a file say that it is as it was, without reading it.
    pub fn looks_same(&self, path: &Path) -> bool {
        let Ok(known) = fs::metadata(path) else { return false };
        self.modified.is_some() && known.len() == self.len && known.modified().ok() == self.modified
    }
}

/// The mark of a file, with its bytes; `None` where there is none.
///
/// # Errors
/// What the system says.
pub fn mark_of(path: &Path) -> io::Result<Option<(FileMark, Vec<u8>)>> {
    // The time is asked first: what is written in between is seen the next time.
    let modified = match fs::metadata(path) {
        Ok(known) => known.modified().ok(),
        Err(trouble) if trouble.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(trouble) => return Err(trouble),
    };
    let bytes = fs::read(path)?;
    Ok(Some((FileMark { modified, ..mark_of_bytes(&bytes) }, bytes)))
}

/// The mark of these bytes, wherever they will stand.
pub fn mark_of_bytes(bytes: &[u8]) -> FileMark {
    FileMark { len: bytes.len() as u64, modified: None, sum: crc32fast::hash(bytes) }
}
