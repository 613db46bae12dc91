//! Writing whole or not at all: a finished file waits beside its place, is brought to the disk, and is then put over what was there.

use super::disk::sync_folder_of;
use super::kept::keep_owner_and_rights;
use super::{FileTrouble, links, reason_of};
use hillwire_core::plan::{self, Plan};
use std::fs::{self, File};
use std::io::{self, BufWriter, Seek, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;
use tempfile::NamedTempFile;

/// Files that wait beside their places, in the whole program: whoever ends it from outside takes them away first.
static BESIDE: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

fn beside() -> MutexGuard<'static, Vec<PathBuf>> {
    BESIDE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Takes away all that waits, for a program that ends now. Nothing is put anywhere as long as what comes back is kept.
#[must_use]
pub fn abandon_all() -> impl Sized {
    let known = beside();
    for path in known.iter() {
        // What is in its place by now, or gone, is no longer here.
        let _ = fs::remove_file(path);
    }
    known
}

/// A finished file that waits for its place. It vanishes unless it is put there.
#[derive(Debug)]
pub struct Waiting {
    path: PathBuf,
    held: Option<Held>,
}

#[derive(Debug)]
enum Held {
    /// Beside the place that it will take.
    Beside(PathBuf, NamedTempFile),
    /// Kept apart, for a device or a pipe: nothing can take its place.
    Apart(File),
}

impl Waiting {
    /// Makes a file beside its place, with the rights of what it will replace, and brings it to the disk.
    ///
    /// # Errors
    /// [`FileTrouble::Unwritable`].
    pub fn make(path: &Path, write: impl FnOnce(&mut BufWriter<&mut File>) -> io::Result<()>) -> Result<Self, FileTrouble> {
        let make = || {
            let mut waiting = Self { path: path.to_owned(), held: Some(room_for(path)?) };
            // Not through the temporary file itself: it would put its own name into whatever goes wrong.
            let file = match &mut waiting.held {
                Some(Held::Beside(_, beside)) => beside.as_file_mut(),
                Some(Held::Apart(file)) => file,
                None => return Ok(waiting),
            };
            let mut buffered = BufWriter::new(&mut *file);
            write(&mut buffered)?;
            buffered.flush()?;
            drop(buffered);
            file.sync_all()?;
            Ok(waiting)
        };
        make().map_err(|reason| FileTrouble::Unwritable { file: path.to_owned(), reason: reason_of(reason) })
    }

    /// The same with a plan that was read from another file: it names the same grids and pictures.
    ///
    /// # Errors
    /// [`FileTrouble::Unwritable`].
    pub fn of_plan(path: &Path, plan: &Plan, from: &Path) -> Result<Self, FileTrouble> {
        Self::of_bytes(path, &plan::write_plan(&links::moved(plan, from, path)))
    }

    /// As [`Waiting::make`], of bytes in memory.
    ///
    /// # Errors
    /// [`FileTrouble::Unwritable`].
    pub fn of_bytes(path: &Path, bytes: &[u8]) -> Result<Self, FileTrouble> {
        Self::make(path, |file| file.write_all(bytes))
    }

    /// Puts it in its place.
    ///
    /// # Errors
    /// [`FileTrouble::Unwritable`]; what was there before is still there.
    pub fn put(self) -> Result<(), FileTrouble> {
        Self::put_all(vec![self])
    }

    /// Puts several in their places: all of them, also when the program is asked to end meanwhile. Devices and pipes come last.
    ///
    /// # Errors
    /// [`FileTrouble::Unwritable`] for the first that cannot be put.
    pub fn put_all(all: Vec<Self>) -> Result<(), FileTrouble> {
        let mut apart = Vec::new();
        let mut known = beside();
        for mut waiting in all {
            let unwritable = |reason| FileTrouble::Unwritable { file: waiting.path.clone(), reason: reason_of(reason) };
            match waiting.held.take() {
                Some(Held::Beside(place, file)) => {
                    known.retain(|path| path != file.path());
                    file.persist(&place).map_err(|trouble| unwritable(trouble.error))?;
                    sync_folder_of(&place);
                }
                Some(Held::Apart(file)) => apart.push((waiting.path.clone(), file)),
                None => {}
            }
        }
        drop(known);
        apart.into_iter().try_for_each(|(path, file)| {
            pour(file, &path).map_err(|reason| FileTrouble::Unwritable { file: path.clone(), reason: reason_of(reason) })
        })
    }
}

impl Drop for Waiting {
    fn drop(&mut self) {
        if let Some(Held::Beside(_, file)) = &self.held {
            beside().retain(|path| path != file.path());
        }
    }
}

/// Writes a file whole or not at all: beside its place, to the disk, then renamed over what was there.
///
/// # Errors
/// [`FileTrouble::Unwritable`]; what was there before is still there.
pub fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), FileTrouble> {
    Waiting::of_bytes(path, bytes)?.put()
}

/// Whether what is written to a path flows away, into a device or a pipe: it cannot be replaced, and there is nothing to be lost.
pub fn is_stream(path: &Path) -> bool {
    let own = ["/dev/stdout", "/dev/stderr"].into_iter().any(|known| path == Path::new(known));
    let numbered = ["/dev/fd", "/proc/self/fd"].into_iter().any(|known| path.starts_with(known));
    own || numbered || fs::metadata(path).is_ok_and(|about| !about.is_file() && !about.is_dir())
}

/// Sends what was kept apart down a device or a pipe. A reader that went away is no trouble.
fn pour(mut file: File, path: &Path) -> io::Result<()> {
    file.rewind()?;
    let is = |known: [&str; 3]| known.into_iter().any(|known| path == Path::new(known));
    // The program's own: opened anew, a redirected one would begin at its first byte.
    let poured = if is(["/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"]) {
        let mut out = io::stdout().lock();
        io::copy(&mut file, &mut out).and_then(|_| out.flush())
    } else if is(["/dev/stderr", "/dev/fd/2", "/proc/self/fd/2"]) {
        io::copy(&mut file, &mut io::stderr().lock()).map(|_| ())
    } else {
        let mut stream = fs::OpenOptions::new().append(true).open(path)?;
        io::copy(&mut file, &mut stream).map(|_| ())
    };
    poured.or_else(|trouble| if trouble.kind() == io::ErrorKind::BrokenPipe { Ok(()) } else { Err(trouble) })
}

fn room_for(path: &Path) -> io::Result<Held> {
    if is_stream(path) {
        return tempfile::tempfile().map(Held::Apart);
    }
    let place = behind_links(path);
    // Made and known in one go: whoever ends the program from outside finds it.
    let mut known = beside();
    let file = empty_beside(&place)?;
    known.push(file.path().to_owned());
    Ok(Held::Beside(place, file))
}

/// A link stays a link: what it points at is replaced, or made.
fn behind_links(path: &Path) -> PathBuf {
    const MOST: usize = 40;
    if let Ok(place) = fs::canonicalize(path) {
        return place;
    }
    let mut place = path.to_owned();
    for _ in 0..MOST {
        let Ok(to) = fs::read_link(&place) else { break };
        place = place.parent().map_or_else(|| to.clone(), |folder| folder.join(&to));
    }
    place
}

/// What the names of files that wait begin with.
const PREFIX: &str = ".hillwire-";
/// How many letters follow.
const LETTERS: usize = 6;
/// A file that has waited longer was left by a program that was killed.
const LEFT_AFTER: Duration = Duration::from_secs(3600);

/// Takes away what programs that were killed left waiting in a folder.
fn sweep(folder: &Path) {
    let is_ours = |name: &str| name.strip_prefix(PREFIX).is_some_and(|rest| rest.len() == LETTERS && !rest.contains('.'));
    let is_left = |about: &fs::Metadata| {
        about.is_file() && about.modified().is_ok_and(|at| at.elapsed().is_ok_and(|waited| waited > LEFT_AFTER))
    };
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        if entry.file_name().to_str().is_some_and(is_ours) && entry.metadata().is_ok_and(|about| is_left(&about)) {
            // Where that is not allowed it stays.
            let _ = fs::remove_file(entry.path());
        }
    }
}

fn empty_beside(place: &Path) -> io::Result<NamedTempFile> {
    let before = fs::metadata(place).ok();
    if before.as_ref().is_some_and(fs::Metadata::is_dir) {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    let folder = place.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    sweep(folder);
    let mut builder = tempfile::Builder::new();
    builder.prefix(PREFIX).rand_bytes(LETTERS);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let rights = before.as_ref().map_or_else(|| fs::Permissions::from_mode(0o666), fs::Metadata::permissions);
        builder.permissions(rights);
    }
    let file = builder.tempfile_in(folder)?;
    if let Some(before) = &before {
        keep_owner_and_rights(file.as_file(), before);
    }
    Ok(file)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::SystemTime;

    #[test]
    fn a_file_is_replaced_whole_and_nothing_is_left_beside_it() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("plan.geojson");
        write_whole(&path, b"first").expect("written");
        write_whole(&path, b"second").expect("replaced");
        assert_eq!(fs::read(&path).expect("read"), b"second");
        assert_eq!(fs::read_dir(folder.path()).expect("listed").count(), 1);
    }

    #[test]
    fn what_a_killed_program_left_waiting_is_taken_away_and_nothing_else() {
        let folder = tempfile::tempdir().expect("a folder");
        let (left, young) = (folder.path().join(".hillwire-Ab12Cd"), folder.path().join(".hillwire-Ab12Ce"));
        let others = [".hillwire-notes", ".hillwire-a.txt", "hillwire-Ab12Cd"].map(|name| folder.path().join(name));
        for path in others.iter().chain([&left, &young]) {
            fs::write(path, b"part").expect("written");
            let old = SystemTime::now() - LEFT_AFTER * 2;
            let at = if *path == young { SystemTime::now() } else { old };
            File::options().write(true).open(path).and_then(|file| file.set_modified(at)).expect("dated");
        }
        write_whole(&folder.path().join("plan.geojson"), b"whole").expect("written");
        assert!(!left.exists());
        assert!(others.iter().chain([&young]).all(|path| path.exists()));
    }

    #[test]
    fn what_waits_is_not_there_until_it_is_put_and_vanishes_when_nobody_does() {
        let folder = tempfile::tempdir().expect("a folder");
        let good = folder.path().join("a.csv");
        let waiting = Waiting::of_bytes(&good, b"a").expect("made");
        let bad = folder.path().join("no-such-folder").join("b.csv");
        let trouble = Waiting::of_bytes(&bad, b"b").expect_err("no such folder");
        assert!(matches!(trouble, FileTrouble::Unwritable { .. }), "{trouble}");
        let says = trouble.to_string();
        assert!(says.contains("no-such-folder") && !says.contains(".hillwire-") && !says.contains("os error"), "{says}");
        assert!(!good.exists());
        drop(waiting);
        assert_eq!(fs::read_dir(folder.path()).expect("listed").count(), 0);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_rights_stay_as_they_were() {
        use std::os::unix::fs::{PermissionsExt, symlink};
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        fs::write(at("real.csv"), b"old").expect("written");
        fs::set_permissions(at("real.csv"), fs::Permissions::from_mode(0o640)).expect("set");
        symlink("real.csv", at("link.csv")).expect("linked");
        symlink("not-yet.csv", at("early.csv")).expect("linked");
        for (link, file) in [("link.csv", "real.csv"), ("early.csv", "not-yet.csv")] {
            write_whole(&at(link), b"new").expect("written");
            assert!(fs::symlink_metadata(at(link)).expect("there").is_symlink(), "{link}");
            assert_eq!(fs::read(at(file)).expect("read"), b"new");
        }
        assert_eq!(fs::metadata(at("real.csv")).expect("there").permissions().mode() & 0o777, 0o640);
    }

    #[cfg(unix)]
    #[test]
    fn a_device_is_written_to_and_stays_a_device() {
        use std::os::unix::fs::FileTypeExt;
        write_whole(Path::new("/dev/null"), b"a,b\n").expect("swallowed");
        assert!(fs::metadata("/dev/null").expect("there").file_type().is_char_device());
        let full = write_whole(Path::new("/dev/full"), b"a,b\n").map_err(|trouble| trouble.to_string());
        if Path::new("/dev/full").exists() {
            assert!(full.is_err_and(|says| says.contains("/dev/full") && says.contains("the disk is full")));
        }
    }
}
