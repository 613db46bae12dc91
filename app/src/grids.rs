//! The elevation grids of the plan in the window: which files they are, and that the ground follows when they change.

use crate::files::links;
use crate::session::{Session, Sheet};
use hillwire_core::plan::{Edit, FileLink, Gesture, Head};
use std::path::{Path, PathBuf};

/// Where the files of links lie: relative ones beside the plan. `None` while a plan that was never saved names one by a relative path.
pub fn paths_of(links: &[FileLink], plan: Option<&Path>) -> Option<Vec<PathBuf>> {
    links.iter().map(|link| path_of(&link.file, plan)).collect()
}

/// Where one file of a plan lies.
pub fn path_of(file: &str, plan: Option<&Path>) -> Option<PathBuf> {
    let path = PathBuf::from(file);
    if path.is_absolute() { Some(path) } else { plan.map(|plan| plan.parent().unwrap_or(Path::new("")).join(path)) }
}

impl Session {
    /// Asks for the ground anew when the plan names other grids than it was made from: one was added, taken out, or that was undone.
    pub(crate) fn follow_grids(&mut self, now_s: f64) {
        let links = &self.history.plan().head.elevation;
        if *links == self.land.links {
            return;
        }
        self.land.links.clone_from(links);
        let Some(paths) = paths_of(links, self.home.path.as_deref()) else { return };
        if paths != self.land.asked {
            self.land.asked.clone_from(&paths);
            self.worker.open_grids(paths, self.frame, now_s);
        }
    }

    /// Lays a further grid over or under those that there are.
    pub(crate) fn add_grid(&mut self, path: &Path) {
        let absolute = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        let known = paths_of(&self.plan().head.elevation, self.home.path.as_deref()).unwrap_or_default();
        if known.iter().any(|known| std::path::absolute(known).is_ok_and(|known| known == absolute)) {
            self.notices.push(format!("{} is one of the grids already.", absolute.display()));
            return;
        }
        let mut head = Head::clone(&self.plan().head);
        head.elevation.push(FileLink::from(absolute.to_string_lossy().as_ref()));
        if let Some(plan) = self.home.path.clone() {
            head = links::with_paths_beside(&head, &plan);
        }
        self.change(Gesture::ChangedGrids, &[Edit::SetHead(Box::new(head))]);
        self.sheet = self.sheet.filter(|sheet| *sheet != Sheet::Welcome);
    }

    /// The plan without one of its grids.
    pub fn without_grid(&self, path: &Path) -> Option<Head> {
        let index = paths_of(&self.plan().head.elevation, self.home.path.as_deref())?.iter().position(|known| known == path)?;
        let mut head = Head::clone(&self.plan().head);
        head.elevation.remove(index);
        Some(head)
    }
}
