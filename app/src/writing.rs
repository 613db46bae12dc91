//! What the window writes takes the place of no file unasked.

use crate::files::Guard;
use crate::session::Session;

impl Session {
    /// The files that outlive whatever is written: the open plan's own.
    pub(crate) fn guard(&self) -> Guard {
        Guard::of_plan(self.home.path.as_deref(), &self.plan().head)
    }
}
