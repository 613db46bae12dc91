//! Single errands: files that go out and come back, and what is worked out beside the order.

use super::{Arrived, Worker};
use crate::air::PhotoRequest;
use crate::clock::now;
use crate::files::FileMark;
use crate::journal;
use crate::layouts::OtherRequest;
use crate::log_view::LogRequest;
use crate::order_view::{self, BesideRequest, QuoteRequest};
use crate::rerouting::CourseRequest;
use crate::round_view::{self, RoundRequest};
use crate::saving::SaveRequest;
use crate::share_view::ShareRequest;
use crate::{files, opening};
use std::path::PathBuf;

impl Worker {
    /// Asks for what is worked out beside the order.
    pub fn request_beside(&self, request: BesideRequest) {
        self.run("working out the order", move |outbox| outbox.send(Arrived::Beside(Box::new(order_view::worked_out(&request)))));
    }

    /// Has an air photo read.
    pub fn request_photo(&self, request: PhotoRequest) {
        self.run("reading the air photo", move |outbox| outbox.send(Arrived::Photo(Box::new(request.read()))));
    }

    /// Has another layout worked out.
    pub fn request_other(&self, request: OtherRequest) {
        self.run("working out the other layout", move |outbox| outbox.send(Arrived::Other(request.worked_out().map(Box::new))));
    }

    /// Has the log read.
    pub fn request_log(&self, request: LogRequest) {
        self.run("reading the log", move |outbox| outbox.send(Arrived::Log(Box::new(request.read()))));
    }

    /// Has what was written on a round read, and held against the plan.
    pub fn request_written(&self, request: LogRequest, path: PathBuf) {
        self.run("reading what was written on the round", move |outbox| {
            let read = request.written(&path);
            outbox.send(read.map_or_else(Arrived::Trouble, |written| Arrived::WrittenRound(Box::new(written))));
        });
    }

    /// Has a sheet of prices read.
    pub fn request_quote(&self, request: QuoteRequest) {
        self.run("reading the prices", move |outbox| {
            let read = order_view::read_quote(&request);
            outbox.send(read.map_or_else(Arrived::Trouble, |quote| Arrived::Quote(Box::new(quote))));
        });
    }

    /// Saves a plan: one after the other, in the order in which that is asked for.
    pub fn save(&mut self, request: SaveRequest) {
        let outbox = self.outbox.clone();
        self.lane.save(request, outbox);
    }

    /// Looks whether another program has written the file of the plan.
    pub fn look_at_file(&mut self, path: PathBuf, known: FileMark) {
        let outbox = self.outbox.clone();
        self.lane.look(path, known, outbox);
    }

    /// Writes a file for somebody else.
    pub fn share(&self, path: PathBuf, request: ShareRequest) {
        self.run("making the file", move |outbox| {
            outbox.send(match opening::share(&path, &request.sharing()) {
                Ok(()) => Arrived::Written(path),
                Err(trouble) => Arrived::Trouble(trouble),
            });
        });
    }

    /// Writes these bytes.
    pub fn write(&self, path: PathBuf, bytes: Vec<u8>) {
        self.run("writing the file", move |outbox| {
            outbox.send(match files::write_whole(&path, &bytes) {
                Ok(()) => Arrived::Written(path),
                Err(trouble) => Arrived::Trouble(trouble.to_string()),
            });
        });
    }

    /// Lists the journals that wait or are kept aside, and lets go what was discarded more than a week ago.
    pub fn list_kept(&self, folder: PathBuf, plan_files: Vec<PathBuf>) {
        self.run("looking for journals", move |outbox| {
            journal::expire(Some(&folder), now());
            outbox.send(Arrived::Kept(journal::all_kept(Some(&folder), &plan_files)));
        });
    }

    /// Asks for the way round.
    pub fn request_round(&self, request: RoundRequest) {
        self.run("working out the round", move |outbox| outbox.send(Arrived::Round(Box::new(round_view::worked_out(&request)))));
    }

    /// Has the sheets for somebody else drawn.
    pub fn request_looks(&self, request: ShareRequest) {
        self.run("drawing the sheets", move |outbox| outbox.send(Arrived::Looks(request.looks())));
    }

    /// Has other courses of a line looked for.
    pub fn request_courses(&self, request: CourseRequest) {
        self.run("looking for other courses", move |outbox| outbox.send(Arrived::Courses(Box::new(request.answer()))));
    }
}
