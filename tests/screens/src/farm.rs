//! A folder with plans, windows on them and what is left when they end.

use crate::{Screen, samples, screen_keeping, window};
use egui_kittest::kittest::Queryable;
use hillwire::command::Command;
use hillwire_core::land::Position;
use hillwire_core::plan::{Edit, Feature, FeatureId, Geometry, Gesture, Head, Kind, Plan, write_plan};
use std::fs;
use std::path::{Path, PathBuf};

/// A folder with a plan and a folder for journals.
pub struct Farm {
    folder: tempfile::TempDir,
}

impl Default for Farm {
    fn default() -> Self {
        Self::new()
    }
}

impl Farm {
    /// A plan with a mark on it and no ground: nothing has to be worked out.
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        fs::create_dir(folder.path().join("data")).expect("made");
        let plan = Plan::new(Head { name: "Brackenhope".to_owned(), ..Head::default() }, vec![mark()]);
        let farm = Self { folder };
        fs::write(farm.plan(), write_plan(&plan)).expect("written");
        fs::write(farm.other(), write_plan(&Plan::new(Head { name: "Larkfold".to_owned(), ..Head::default() }, vec![mark()])))
            .expect("written");
        farm
    }

    /// The wooded sample with its ground.
    pub fn with_ground() -> Self {
        let Self { folder } = Self::new();
        for name in ["brackenhope.plan.geojson", "brackenhope.tif"] {
            fs::copy(samples().join(name), folder.path().join(name)).expect("copied");
        }
        Self { folder }
    }

    /// A file in it.
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Another plan.
    pub fn other(&self) -> PathBuf {
        self.path("larkfold.plan.geojson")
    }

    /// The plan.
    pub fn plan(&self) -> PathBuf {
        self.path("brackenhope.plan.geojson")
    }

    /// A window that keeps journals there.
    pub fn window(&self) -> Screen {
        screen_keeping(Some(self.path("data")))
    }

    /// The same with the plan open.
    pub fn opened(&self) -> Screen {
        let mut screen = self.window();
        open(&mut screen, &self.plan());
        screen
    }

    /// A program that ended with the plan renamed and not saved.
    pub fn ended_unsaved(&self, names: &[&str]) {
        let mut screen = self.opened();
        names.iter().for_each(|name| rename(&mut screen, name));
        while !window(&mut screen).is_journalled() {
            std::thread::yield_now();
        }
    }

    /// The journals that are there.
    pub fn journals(&self) -> Vec<String> {
        let folders = [self.folder.path().to_owned(), self.path("data")];
        let entries = folders.iter().flat_map(|folder| fs::read_dir(folder).expect("there")).flatten();
        let names = entries.map(|entry| entry.file_name().to_string_lossy().into_owned());
        names.filter(|name| name.ends_with(".journal")).collect()
    }
}

/// A mark.
pub fn mark() -> Feature {
    Feature::new(FeatureId::new("a"), Kind::Mark, Geometry::Point(Position::from_degrees(-3.46, 55.35)))
}

/// Opens a file.
pub fn open(screen: &mut Screen, path: &Path) {
    let ctx = screen.ctx.clone();
    window(screen).open(path.to_owned(), &ctx);
    screen.run_steps(6);
}

/// Has a command carried out.
pub fn perform(screen: &mut Screen, command: Command) {
    let ctx = screen.ctx.clone();
    window(screen).perform(vec![command], &ctx);
    screen.run_steps(5);
}

/// Changes the name of the plan.
pub fn rename(screen: &mut Screen, name: &str) {
    let head = Head { name: name.to_owned(), ..Head::clone(&window(screen).session.plan().head) };
    perform(screen, Command::Change(Gesture::ChangedPlan, vec![Edit::SetHead(Box::new(head))]));
}

/// The name of the plan.
pub fn name(screen: &mut Screen) -> String {
    window(screen).session.plan().head.name.clone()
}

/// Whether the window shows a text.
pub fn shows(screen: &Screen, text: &str) -> bool {
    screen.query_by_label_contains(text).is_some()
}

/// The name of the plan in a file.
pub fn name_in(path: &Path) -> String {
    let text = fs::read_to_string(path).expect("there");
    let (_, rest) = text.split_once("\"name\":\"").expect("a plan has a name");
    rest.split('"').next().unwrap_or_default().to_owned()
}
