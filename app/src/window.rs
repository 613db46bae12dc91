//! Opening the real window.

use crate::app::Window;
use crate::worker::Pace;
use std::io::Write;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What is said where the program was started from when it ends by a fault of its own.
const ENDED: &str = "Hillwire ended by a fault inside it. The journal holds your plan; start the program again to bring it back.";

struct Desktop {
    window: Window,
}

impl eframe::App for Desktop {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        let Self { window } = self;
        if let Err(fault) = catch_unwind(AssertUnwindSafe(|| window.show(ui))) {
            // Drawing cannot go on; the plan can, at the next start.
            let _ = catch_unwind(AssertUnwindSafe(|| window.rescue()));
            let _ = writeln!(std::io::stderr(), "{ENDED}");
            resume_unwind(fault);
        }
    }
    fn clear_color(&self, visuals: &egui::Visuals) -> [f32; 4] {
        visuals.panel_fill.to_normalized_gamma_f32()
    }
}

/// Opens the window, with a plan or a grid when one is given, and stays until it is closed.
///
/// # Errors
/// When the desktop lacks what a window needs.
pub fn run(path: Option<PathBuf>) -> anyhow::Result<ExitCode> {
    let viewport = egui::ViewportBuilder::default()
        .with_title("Hillwire")
        .with_app_id("hillwire")
        .with_inner_size([1280.0, 800.0])
        .with_min_inner_size([900.0, 560.0])
        .with_drag_and_drop(true);
    let options = eframe::NativeOptions { viewport, ..eframe::NativeOptions::default() };
    let start = move |creation: &eframe::CreationContext<'_>| -> Result<Box<dyn eframe::App>, _> {
        let mut window = Window::new(&creation.egui_ctx, Pace::Beside, samples());
        if let Some(path) = path {
            window.open(path, &creation.egui_ctx);
        }
        Ok(Box::new(Desktop { window }) as Box<dyn eframe::App>)
    };
    eframe::run_native("hillwire", options, Box::new(start)).map_err(|trouble| {
        let why = why_no_window(&trouble);
        anyhow::anyhow!("the window could not be opened: {why}; the commands work without one (see hillwire --help)")
    })?;
    Ok(ExitCode::SUCCESS)
}

/// Why, without the names of libraries and the paths of their sources.
fn why_no_window(trouble: &eframe::Error) -> String {
    if let eframe::Error::AppCreation(why) = trouble {
        return why.to_string();
    }
    let display = ["WAYLAND_DISPLAY", "DISPLAY"].iter().find_map(|name| std::env::var(name).ok().filter(|name| !name.is_empty()));
    match (trouble, display) {
        (eframe::Error::Winit(_) | eframe::Error::WinitEventLoop(_), Some(display)) => {
            format!("the display {display} does not answer")
        }
        (eframe::Error::Winit(_) | eframe::Error::WinitEventLoop(_), None) => "the display does not answer".to_owned(),
        _ => "the display cannot draw with OpenGL 2 or newer".to_owned(),
    }
}

/// The sample plans, where they lie beside the program or in the source tree it was built from.
fn samples() -> Vec<PathBuf> {
    let beside = std::env::current_exe().ok().and_then(|program| Some(program.parent()?.join("sample-maps")));
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join("sample-maps");
    let folders = beside.into_iter().chain([source]);
    for folder in folders {
        let listed = std::fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
        let mut plans: Vec<PathBuf> = listed.filter(|path| path.to_string_lossy().ends_with(".plan.geojson")).collect();
        plans.sort();
        if !plans.is_empty() {
            return plans;
        }
    }
    Vec::new()
}
