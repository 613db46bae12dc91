//! Writing the journal: a line for every change, on the disk before anything else is done; elsewhere when its place fails, and back when it
//! can; all of the plan in one line whenever something may be missing before it.

use super::found::{LeftOver, name_for_discarded};
use super::place::Places;
use crate::files::{Disk, Standing, plain_reason};
use hillwire_core::plan::{Plan, Stamp, journal_line};
use jiff::Timestamp;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// What the window should know of its journal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Report {
    /// It stands elsewhere, because its place cannot be written.
    Elsewhere {
        /// Its place.
        wanted: PathBuf,
        /// Why not there.
        reason: String,
        /// Where it is.
        place: PathBuf,
    },
    /// It stands nowhere: what is changed now is only in memory.
    Nowhere {
        /// Its place, if it has one.
        wanted: Option<PathBuf>,
        /// Why not.
        reason: String,
    },
    /// It stands where it belongs again.
    Back(PathBuf),
    /// What was to be discarded could not be kept aside, and stays.
    NotDiscarded(PathBuf),
}

/// Where the journal stands.
#[derive(Clone, Debug, PartialEq, Eq)]
enum At {
    /// It has not begun, or is not needed.
    Nowhere,
    Home(PathBuf),
    Elsewhere(PathBuf),
}

/// Writes one journal after the other.
pub struct Writer<D> {
    disk: D,
    places: Places,
    at: At,
    /// What the file holds; `None` where the next line must hold all of the plan.
    written: Option<Plan>,
    number: u64,
    /// The journal in its place that is this window's to write: begun by it, or brought back. What else stands there waits for an answer.
    own: Option<PathBuf>,
    /// What is still to be written, because it could not be.
    owed: Option<(Plan, Stamp)>,
    /// Journals that are needless once the next whole plan is written.
    superseded: Vec<(PathBuf, Option<LeftOver>)>,
    /// What was brought back as it was, kept aside until the plan is saved with it.
    aside: Option<PathBuf>,
    said: Option<Report>,
    reports: Vec<Report>,
}

impl<D: Disk> Writer<D> {
    /// One that follows no plan yet.
    pub fn new(disk: D) -> Self {
        let (places, at) = (Places::default(), At::Nowhere);
        Self {
            disk,
            places,
            at,
            written: None,
            number: 0,
            own: None,
            owed: None,
            superseded: Vec::new(),
            aside: None,
            said: None,
            reports: Vec::new(),
        }
    }

    /// Follows another plan. The journal of the one before stays where it is: unless it was saved or discarded it is offered again. What was
    /// brought back is written anew, and its old journal goes once that is done.
    pub fn turn_to(&mut self, places: Places, brought_back: Option<LeftOver>) {
        if let At::Home(place) | At::Elsewhere(place) = std::mem::replace(&mut self.at, At::Nowhere) {
            self.disk.close(&place);
        }
        self.superseded.clear();
        (self.own, self.aside) = (None, None);
        self.begin(places, brought_back);
    }

    /// The same plan has another place from now on.
    pub fn move_to(&mut self, places: Places, brought_back: Option<LeftOver>) {
        if let At::Home(place) | At::Elsewhere(place) = std::mem::replace(&mut self.at, At::Nowhere)
            && places.home.as_ref() != Some(&place)
        {
            self.superseded.push((place, None));
        }
        self.begin(places, brought_back);
    }

    /// What a journal held is in the plan now. Should it be undone, it is still kept aside.
    pub fn bring_back(&mut self, places: Places, left: LeftOver, now: Timestamp) {
        if left.was_discarded() {
            self.aside = Some(left.place.clone());
            return self.move_to(places, None);
        }
        let name = places.folder.as_deref().and_then(|folder| name_for_discarded(folder, now));
        self.aside = name.filter(|name| self.copied(&left, name).is_ok());
        self.move_to(places, Some(left));
    }

    fn copied(&mut self, left: &LeftOver, to: &Path) -> io::Result<()> {
        self.disk.open(to, true)?;
        let line = journal_line(None, &left.plan, left.told.stamp());
        let done = self.disk.append(to, line.as_bytes()).and_then(|()| self.disk.sync(to));
        if done.is_err() {
            let _ = self.disk.remove(to);
        }
        self.disk.close(to);
        done
    }

    fn begin(&mut self, places: Places, brought_back: Option<LeftOver>) {
        (self.places, self.written, self.owed, self.said) = (places, None, None, None);
        self.own = self.own.take().filter(|own| self.places.home.as_ref() == Some(own));
        if let Some(mut left) = brought_back {
            if self.places.home.as_ref() == Some(&left.place) {
                left.unlock();
                self.own = Some(left.place.clone());
            } else {
                self.superseded.push((left.place.clone(), Some(left)));
            }
        }
    }

    /// Writes down how the plan is now. True once that is on a disk.
    pub fn follow(&mut self, plan: Plan, stamp: Stamp) -> bool {
        let is_written = self.write(&plan, &stamp);
        self.owed = (!is_written).then_some((plan, stamp));
        is_written
    }

    /// Whether something waits for a disk that takes it, or for its own place.
    pub fn is_waiting(&self) -> bool {
        self.owed.is_some()
    }

    /// Tries again what could not be written.
    pub fn retry(&mut self) -> bool {
        let Some((plan, stamp)) = self.owed.take() else { return true };
        self.follow(plan, stamp)
    }

    fn write(&mut self, plan: &Plan, stamp: &Stamp) -> bool {
        if self.written.as_ref() == Some(plan) {
            return true;
        }
        if let At::Home(place) = self.at.clone()
            && self.change(&place, plan, stamp).is_ok()
        {
            return true;
        }
        let mut reason: io::Error = ErrorKind::NotFound.into();
        if let Some(home) = self.places.home.clone() {
            // Without a data folder there is no other place.
            let only_new = self.own.as_ref() != Some(&home) && self.places.folder.is_some();
            match self.whole(&home, plan, stamp, only_new) {
                Ok(()) => {
                    self.own = Some(home.clone());
                    self.settle(At::Home(home));
                    return true;
                }
                Err(trouble) => reason = trouble,
            }
        }
        if let At::Elsewhere(place) = self.at.clone()
            && self.change(&place, plan, stamp).is_ok()
        {
            return true;
        }
        let elsewhere = self.places.elsewhere();
        for place in elsewhere {
            match self.whole(&place, plan, stamp, true) {
                Ok(()) => {
                    self.say_elsewhere(&place, &reason);
                    self.settle(At::Elsewhere(place));
                    return true;
                }
                Err(trouble) if matches!(trouble.kind(), ErrorKind::AlreadyExists | ErrorKind::WouldBlock) => {}
                Err(trouble) => {
                    if self.places.home.is_none() {
                        reason = trouble;
                    }
                    break;
                }
            }
        }
        self.say(Report::Nowhere { wanted: self.places.home.clone(), reason: plainly(&reason) });
        false
    }

    /// One line with what changed, behind what is there.
    fn change(&mut self, place: &Path, plan: &Plan, stamp: &Stamp) -> io::Result<()> {
        let Some(written) = self.written.clone() else { return Err(ErrorKind::NotFound.into()) };
        if self.disk.open(place, false)? != Standing::Same {
            self.written = None;
            return Err(ErrorKind::NotFound.into());
        }
        let line = journal_line(Some(&written), plan, Stamp { number: self.number + 1, ..stamp.clone() });
        let done = self.disk.append(place, line.as_bytes()).and_then(|()| self.disk.sync(place));
        self.keep_track(place, done, plan)
    }

    /// One line with all of the plan; it begins a line of its own whatever stands before it.
    fn whole(&mut self, place: &Path, plan: &Plan, stamp: &Stamp, only_new: bool) -> io::Result<()> {
        let standing = self.disk.open(place, only_new)?;
        let begin = if standing == Standing::Made { "" } else { "\n" };
        let line = begin.to_owned() + &journal_line(None, plan, Stamp { number: self.number + 1, ..stamp.clone() });
        let mut done = self.disk.append(place, line.as_bytes()).and_then(|()| self.disk.sync(place));
        if done.is_ok() && standing != Standing::Same {
            done = self.disk.sync_name(place);
        }
        let is_new = standing == Standing::Made;
        if done.is_err() && is_new {
            let _ = self.disk.remove(place);
        }
        self.keep_track(place, done, plan)
    }

    /// After a line that failed, nothing more is built on what stands there.
    fn keep_track(&mut self, place: &Path, done: io::Result<()>, plan: &Plan) -> io::Result<()> {
        if done.is_ok() {
            self.number += 1;
            self.written = Some(plan.clone());
        } else if matches!(&self.at, At::Home(own) | At::Elsewhere(own) if own == place) {
            self.written = None;
        }
        done
    }

    /// All of the plan stands here now: what held it before is needless.
    fn settle(&mut self, at: At) {
        let before = std::mem::replace(&mut self.at, at.clone());
        let place = |at: &At| if let At::Home(place) | At::Elsewhere(place) = at { Some(place.clone()) } else { None };
        if let Some(old) = place(&before).filter(|old| Some(old) != place(&at).as_ref()) {
            let _ = self.disk.remove(&old);
        }
        for (old, left) in std::mem::take(&mut self.superseded) {
            if Some(&old) != place(&at).as_ref() {
                let _ = self.disk.remove(&old);
            }
            drop(left);
        }
        if let At::Home(place) = at
            && self.said.take().is_some()
        {
            self.reports.push(Report::Back(place));
        }
    }

    /// All is in the plan file: the journal goes.
    pub fn saved(&mut self) {
        if let At::Home(place) | At::Elsewhere(place) = std::mem::replace(&mut self.at, At::Nowhere) {
            let _ = self.disk.remove(&place);
        }
        for (old, _left) in std::mem::take(&mut self.superseded) {
            let _ = self.disk.remove(&old);
        }
        if let Some(aside) = self.aside.take() {
            let _ = self.disk.remove(&aside);
        }
        (self.written, self.owed, self.own) = (None, None, None);
        self.said = None;
    }

    /// The plan is as it is in its file, because what was brought back was undone: that stays kept aside.
    pub fn undone(&mut self) {
        self.aside = None;
        self.saved();
    }

    /// What is written is not wanted: it is kept aside for a week.
    pub fn discard_own(&mut self, now: Timestamp) {
        self.owed = None;
        if let At::Home(place) | At::Elsewhere(place) = std::mem::replace(&mut self.at, At::Nowhere) {
            self.keep_aside(&place, now);
        }
        (self.written, self.own) = (None, None);
    }

    /// What was left from before is not wanted: it is kept aside for a week.
    pub fn discard(&mut self, left: LeftOver, now: Timestamp) {
        self.keep_aside(&left.place, now);
    }

    fn keep_aside(&mut self, place: &Path, now: Timestamp) {
        let name = self.places.folder.as_deref().and_then(|folder| name_for_discarded(folder, now));
        let moved = name.is_some_and(|name| self.disk.move_to(place, &name).is_ok());
        self.disk.close(place);
        if !moved {
            self.reports.push(Report::NotDiscarded(place.to_owned()));
        }
    }

    fn say_elsewhere(&mut self, place: &Path, reason: &io::Error) {
        // Where another journal stands in its place, nothing is wrong.
        let is_taken = matches!(reason.kind(), ErrorKind::WouldBlock | ErrorKind::AlreadyExists);
        if let Some(wanted) = self.places.home.clone().filter(|_| !is_taken) {
            self.say(Report::Elsewhere { wanted, reason: plainly(reason), place: place.to_owned() });
        }
    }

    /// Says something once.
    fn say(&mut self, report: Report) {
        let is_same = |said: &Report| std::mem::discriminant(said) == std::mem::discriminant(&report);
        if !self.said.as_ref().is_some_and(is_same) {
            self.said = Some(report.clone());
            self.reports.push(report);
        }
    }

    /// What the window should know since the last call.
    pub fn reports(&mut self) -> Vec<Report> {
        std::mem::take(&mut self.reports)
    }

    /// The disk, for tests that let it fail.
    #[cfg(test)]
    pub fn disk(&mut self) -> &mut D {
        &mut self.disk
    }
}

/// What the system said.
fn plainly(reason: &io::Error) -> String {
    match reason.kind() {
        ErrorKind::InvalidFilename => "its name would be too long".to_owned(),
        _ => plain_reason(reason),
    }
}
