//! Opening the real window.

use crate::app::{Window, give_up_fields};
use crate::worker::Pace;
use std::io::Write;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

/// What is said where the program was started from when it ends by a fault of its own.
const ENDED: &str = "Hillwire ended by a fault inside it. The journal holds your plan; start the program again to bring it back.";

struct Desktop {
    window: Window,
    /// Whether the computer asks the program to end.
    is_ending: Arc<AtomicBool>,
}

impl eframe::App for Desktop {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        let Self { window, is_ending } = self;
        let ends = is_ending.load(Ordering::Relaxed);
        if ends {
            give_up_fields(ui.ctx());
        }
        if let Err(fault) = catch_unwind(AssertUnwindSafe(|| window.show(ui))) {
            // Drawing cannot go on; the plan can, at the next start.
            let _ = catch_unwind(AssertUnwindSafe(|| window.rescue()));
            let _ = writeln!(std::io::stderr(), "{ENDED}");
            resume_unwind(fault);
        }
        if ends {
            window.rescue();
            std::process::exit(BY_REQUEST);
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
        let is_ending = told_to_end(&creation.egui_ctx);
        Ok(Box::new(Desktop { window, is_ending }) as Box<dyn eframe::App>)
    };
    eframe::run_native("hillwire", options, Box::new(start)).map_err(|trouble| {
        let why = why_no_window(&trouble);
        anyhow::anyhow!("the window could not be opened: {why}; the commands work without one (see hillwire --help)")
    })?;
    Ok(ExitCode::SUCCESS)
}

/// What a shell expects of a program that was asked to end.
const BY_REQUEST: i32 = 128 + 15;
/// A window that does not draw in this time ends all the same.
const ENDS_WITHIN: Duration = Duration::from_secs(3);

/// Becomes true when the computer shuts down or somebody asks the program to end: what is being typed then goes into the journal first.
#[cfg(unix)]
fn told_to_end(ctx: &egui::Context) -> Arc<AtomicBool> {
    let is_ending = Arc::new(AtomicBool::new(false));
    let (known, ctx) = (Arc::clone(&is_ending), ctx.clone());
    // Without a thread for signals they end the program at once; what is in the journal comes back all the same.
    if let Ok(mut signals) = signal_hook::iterator::Signals::new([signal_hook::consts::SIGTERM]) {
        std::thread::spawn(move || {
            if signals.forever().next().is_some() {
                known.store(true, Ordering::Relaxed);
                ctx.request_repaint();
                std::thread::sleep(ENDS_WITHIN);
                std::process::exit(BY_REQUEST);
            }
        });
    }
    is_ending
}

/// Other systems end a window by closing it.
#[cfg(not(unix))]
fn told_to_end(_: &egui::Context) -> Arc<AtomicBool> {
    Arc::new(AtomicBool::new(false))
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
