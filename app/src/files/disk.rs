//! What is asked of a disk for files that grow while the program runs: each step by itself, so that tests can let any of them fail.

use std::collections::HashMap;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

/// What stands where a file was to be opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// The file that is open already.
    Same,
    /// A new, empty one.
    Made,
    /// Something that was there before.
    Found,
}

/// A disk, as far as a journal needs one.
pub trait Disk: Send {
    /// Opens a file to be appended to, and locks it; `only_new` refuses one that is there.
    ///
    /// # Errors
    /// [`ErrorKind::WouldBlock`] where another window has it; else what the system says.
    fn open(&mut self, place: &Path, only_new: bool) -> io::Result<Standing>;
    /// Appends to an open file.
    ///
    /// # Errors
    /// What the system says. A part may have been written.
    fn append(&mut self, place: &Path, bytes: &[u8]) -> io::Result<()>;
    /// Brings an open file's content to the disk.
    ///
    /// # Errors
    /// What the system says.
    fn sync(&mut self, place: &Path) -> io::Result<()>;
    /// Brings the name of a file to the disk.
    ///
    /// # Errors
    /// What the system says.
    fn sync_name(&mut self, place: &Path) -> io::Result<()>;
    /// Closes a file and gives its lock back.
    fn close(&mut self, place: &Path);
    /// Closes a file and takes it away.
    ///
    /// # Errors
    /// What the system says.
    fn remove(&mut self, place: &Path) -> io::Result<()>;
    /// Gives a file another place, with all that was written to it.
    ///
    /// # Errors
    /// What the system says; it stays where it was then.
    fn move_to(&mut self, from: &Path, to: &Path) -> io::Result<()>;
}

/// The disk of this computer.
#[derive(Debug, Default)]
pub struct RealDisk {
    open: HashMap<PathBuf, File>,
}

impl RealDisk {
    fn file(&mut self, place: &Path) -> io::Result<&mut File> {
        self.open.get_mut(place).ok_or_else(|| ErrorKind::NotFound.into())
    }
}

impl Disk for RealDisk {
    fn open(&mut self, place: &Path, only_new: bool) -> io::Result<Standing> {
        if self.open.get(place).is_some_and(|file| is_at(file, place)) {
            return Ok(Standing::Same);
        }
        self.open.remove(place);
        let file = OpenOptions::new().read(true).append(true).create(true).create_new(only_new).open(place)?;
        if !lock_soon(&file) || !is_at(&file, place) {
            return Err(ErrorKind::WouldBlock.into());
        }
        let standing = if file.metadata()?.len() == 0 { Standing::Made } else { Standing::Found };
        self.open.insert(place.to_owned(), file);
        Ok(standing)
    }

    fn append(&mut self, place: &Path, bytes: &[u8]) -> io::Result<()> {
        let file = self.file(place)?;
        let before = file.metadata()?.len();
        file.write_all(bytes).inspect_err(|_| {
            // Half a line is worth nothing, and takes room on a disk that is full.
            let _ = file.set_len(before);
        })
    }

    fn sync(&mut self, place: &Path) -> io::Result<()> {
        self.file(place)?.sync_data()
    }

    fn sync_name(&mut self, place: &Path) -> io::Result<()> {
        sync_folder_of(place);
        Ok(())
    }

    fn close(&mut self, place: &Path) {
        self.open.remove(place);
    }

    fn remove(&mut self, place: &Path) -> io::Result<()> {
        let removed = fs::remove_file(place);
        self.open.remove(place);
        removed
    }

    fn move_to(&mut self, from: &Path, to: &Path) -> io::Result<()> {
        match fs::rename(from, to) {
            Err(trouble) if trouble.kind() == ErrorKind::CrossesDevices => {
                let mut bytes = Vec::new();
                File::open(from)?.read_to_end(&mut bytes)?;
                super::write_whole(to, &bytes).map_err(|trouble| io::Error::other(trouble.to_string()))?;
                fs::remove_file(from)?;
            }
            moved => moved?,
        }
        self.open.remove(from);
        sync_folder_of(to);
        Ok(())
    }
}

/// Locks a file for this window. False where another one has it; a file system without locks cannot tell, and counts as free.
pub fn try_lock(file: &File) -> bool {
    !matches!(file.try_lock(), Err(TryLockError::WouldBlock))
}

/// The same, where somebody who only looks may have it for a moment.
pub fn lock_soon(file: &File) -> bool {
    (0..4).any(|turn| {
        if turn > 0 {
            std::thread::sleep(std::time::Duration::from_millis(3));
        }
        try_lock(file)
    })
}

/// Whether the file that stands at a place is this one, and not gone or another.
fn is_at(file: &File, place: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let key = |known: &fs::Metadata| (known.dev(), known.ino());
        matches!((file.metadata(), fs::metadata(place)), (Ok(open), Ok(there)) if key(&open) == key(&there))
    }
    #[cfg(not(unix))]
    {
        file.metadata().is_ok() && place.exists()
    }
}

/// Brings the names in a file's folder to the disk: after a file was made or renamed there. Not every system can, and the file itself is
/// safe without: so it is no trouble when this one cannot.
pub fn sync_folder_of(file: &Path) {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    #[cfg(unix)]
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
    #[cfg(not(unix))]
    let _ = folder;
}

/// What the system said, without its number.
pub fn plain_reason(reason: &io::Error) -> String {
    super::plainly(reason)
}
