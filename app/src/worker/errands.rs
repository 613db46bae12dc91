//! Single errands: files that go out and come back, and what is worked out beside the order.

use super::{Arrived, Worker};
use crate::air::PhotoRequest;
use crate::layouts::OtherRequest;
use crate::log_view::LogRequest;
use crate::order_view::{self, BesideRequest, QuoteRequest};
use crate::rerouting::CourseRequest;
use crate::round_view::{self, RoundRequest};
use crate::share_view::ShareRequest;
use crate::{files, opening};
use hillwire_core::plan::Plan;
use std::path::PathBuf;

impl Worker {
    /// Asks for what is worked out beside the order.
    pub fn request_beside(&self, request: BesideRequest) {
        self.run(move |outbox| outbox.send(Arrived::Beside(Box::new(order_view::worked_out(&request)))));
    }

    /// Has an air photo read.
    pub fn request_photo(&self, request: PhotoRequest) {
        self.run(move |outbox| outbox.send(Arrived::Photo(Box::new(request.read()))));
    }

    /// Has another layout worked out.
    pub fn request_other(&self, request: OtherRequest) {
        self.run(move |outbox| outbox.send(Arrived::Other(request.worked_out().map(Box::new))));
    }

    /// Has the log read.
    pub fn request_log(&self, request: LogRequest) {
        self.run(move |outbox| outbox.send(Arrived::Log(Box::new(request.read()))));
    }

    /// Has what was written on a round read, and held against the plan.
    pub fn request_written(&self, request: LogRequest, path: PathBuf) {
        self.run(move |outbox| {
            let read = request.written(&path);
            outbox.send(read.map_or_else(Arrived::Trouble, |written| Arrived::WrittenRound(Box::new(written))));
        });
    }

    /// Has a sheet of prices read.
    pub fn request_quote(&self, request: QuoteRequest) {
        self.run(move |outbox| {
            let read = order_view::read_quote(&request);
            outbox.send(read.map_or_else(Arrived::Trouble, |quote| Arrived::Quote(Box::new(quote))));
        });
    }

    /// Saves a plan whose bytes these are.
    pub fn save(&mut self, path: PathBuf, bytes: Vec<u8>, plan: Plan) {
        self.run(move |outbox| {
            outbox.send(match opening::save(&path, &bytes) {
                Ok(()) => Arrived::Saved(path, plan),
                Err(trouble) => Arrived::Trouble(trouble.to_string()),
            });
        });
    }

    /// Writes a file for somebody else.
    pub fn share(&self, path: PathBuf, request: ShareRequest) {
        self.run(move |outbox| {
            outbox.send(match opening::share(&path, &request.sharing()) {
                Ok(()) => Arrived::Written(path),
                Err(trouble) => Arrived::Trouble(trouble),
            });
        });
    }

    /// Writes these bytes.
    pub fn write(&self, path: PathBuf, bytes: Vec<u8>) {
        self.run(move |outbox| {
            outbox.send(match files::write_whole(&path, &bytes) {
                Ok(()) => Arrived::Written(path),
                Err(trouble) => Arrived::Trouble(trouble.to_string()),
            });
        });
    }

    /// Asks for the way round.
    pub fn request_round(&self, request: RoundRequest) {
        self.run(move |outbox| outbox.send(Arrived::Round(Box::new(round_view::worked_out(&request)))));
    }

    /// Has the sheets for somebody else drawn.
    pub fn request_looks(&self, request: ShareRequest) {
        self.run(move |outbox| outbox.send(Arrived::Looks(request.looks())));
    }

    /// Has other courses of a line looked for.
    pub fn request_courses(&self, request: CourseRequest) {
        self.run(move |outbox| outbox.send(Arrived::Courses(Box::new(request.answer()))));
    }
}
