//! Sheets that lie over the window: the welcome sheet, the keys, unsaved changes, a path to be typed.

use crate::command::{ACTS, Act, Command, key_text};
use crate::keeping_sheets;
use crate::picker::Purpose;
use crate::session::{Session, Sheet};
use crate::theme::bold;
use crate::words::cautions::Place;
use egui::{Align2, Area, Color32, Grid, Order, RichText, ScrollArea, Sense, TextEdit, Ui, Window, vec2};
use std::path::{Path, PathBuf};

/// A path that is asked for in the window.
#[derive(Clone, Debug)]
pub struct PathWanted {
    /// What for.
    pub purpose: Purpose,
    /// What is typed so far.
    pub typed: String,
    /// Whether it was not shown yet.
    pub is_new: bool,
}

impl PathWanted {
    /// Asks for a path, beginning beside the plan.
    pub fn new(purpose: Purpose, beside: Option<&Path>) -> Self {
        let folder = beside.and_then(Path::parent).map(Path::to_path_buf).unwrap_or_default();
        let typed = match &purpose {
            Purpose::Open
            | Purpose::OpenGrid
            | Purpose::AddGrid
            | Purpose::AddPhoto
            | Purpose::ReadPrices
            | Purpose::ReadRound
            | Purpose::ComparePlan => folder.join(""),
            Purpose::SavePlan { name } | Purpose::Share { name } => folder.join(name),
        };
        Self { purpose, typed: typed.display().to_string(), is_new: true }
    }
}

/// Draws whatever sheet is open.
pub fn show(ui: &mut Ui, session: &mut Session, commands: &mut Vec<Command>) {
    match session.sheet {
        Some(Sheet::Welcome) => welcome(ui, session, commands),
        Some(Sheet::Keys) => keys(ui, commands),
        Some(Sheet::Catalogue) => crate::catalogue_sheet::show(ui, session, commands),
        Some(Sheet::Look) => crate::look_sheet::show(ui, session, commands),
        Some(Sheet::Written) => crate::log_sheet::show(ui, session, commands),
        Some(Sheet::Prices) => crate::prices_sheet::show(ui, session, commands),
        Some(Sheet::Incoming) => crate::incoming::show(ui, session, commands),
        Some(Sheet::Unsaved(after)) => keeping_sheets::unsaved(ui, session, after, commands),
        Some(Sheet::LeftOver) => keeping_sheets::left_over(ui, session, commands),
        Some(Sheet::Theirs) => keeping_sheets::theirs(ui, session, commands),
        Some(Sheet::Refused) => keeping_sheets::refused(ui, session, commands),
        Some(Sheet::Over) => crate::writing::show(ui, session, commands),
        Some(Sheet::OpenElsewhere) => keeping_sheets::open_elsewhere(ui, session, commands),
        None => {}
    }
    path_field(ui, session, commands);
}

/// A sheet with its title; whether it is still open.
pub fn sheet<R>(ui: &Ui, title: &str, contents: impl FnOnce(&mut Ui) -> R) -> bool {
    lay(ui, title, contents).0
}

/// A sheet that has to be answered: until then neither pointer nor keys reach what lies behind it.
pub fn question<R>(ui: &Ui, title: &str, contents: impl FnOnce(&mut Ui) -> R) -> bool {
    veil(ui);
    let (open, layer) = lay(ui, title, contents);
    if let Some(layer) = layer {
        // A click on the veil would raise it over the sheet.
        ui.ctx().move_to_top(layer);
        ui.ctx().memory_mut(|memory| memory.set_modal_layer(layer));
    }
    open
}

/// Covers the window and takes in what the pointer does.
fn veil(ui: &Ui) {
    let whole = ui.input(|input| input.content_rect());
    Area::new(egui::Id::unique("veil")).order(Order::Middle).fixed_pos(whole.min).constrain(false).show(ui.ctx(), |ui| {
        ui.painter().rect_filled(whole, 0.0, Color32::from_black_alpha(60));
        ui.allocate_rect(whole, Sense::click_and_drag());
    });
}

fn lay<R>(ui: &Ui, title: &str, contents: impl FnOnce(&mut Ui) -> R) -> (bool, Option<egui::LayerId>) {
    let mut open = true;
    let laid = Window::new(RichText::new(title).font(bold(17.0)))
        .id(egui::Id::unique(("sheet", title)))
        .open(&mut open)
        .collapsible(false)
        .frame(egui::Frame::window(&ui.ctx().global_style()).inner_margin(14))
        .resizable(false)
        .anchor(Align2::CENTER_CENTER, vec2(0.0, -20.0))
        .show(ui.ctx(), contents);
    (open, laid.map(|laid| laid.response.layer_id))
}

fn welcome(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let tallest = ui.input(|input| input.content_rect().height()) - 110.0;
    let open = sheet(ui, "Where shall the fence run?", |ui| {
        ui.set_width(520.0);
        ScrollArea::vertical().max_height(tallest).show(ui, |ui| doors(ui, session, commands));
    });
    if !open {
        commands.push(Command::CloseSheet);
    }
}

fn doors(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    ui.label("Draw a fence on your own ground and see, before a post is driven, how long it is, where its posts go, what will trouble it and what it takes.");
    ui.add_space(10.0);
    keeping_sheets::kept(ui, session, commands);
    door(ui, "Look at a sample", "Invented ground with a plan on it. Try anything: nothing is saved unless you say so.");
    ui.horizontal(|ui| {
        for path in &session.samples {
            if ui.button(sample_name(path)).clicked() {
                commands.push(Command::OpenPath(path.clone()));
            }
        }
    });
    ui.add_space(10.0);
    door(ui, "Draw a first paddock", "Eight steps on sample ground, each shown when it is due.");
    if ui.add_enabled(!session.samples.is_empty(), egui::Button::new("Begin")).clicked() {
        commands.push(Command::Guide(true));
    }
    ui.add_space(10.0);
    door(
        ui,
        "Start on your own ground",
        "Drop an elevation grid on this window (GeoTIFF, or a text grid with its .prj beside it), or:",
    );
    if ui.button("Choose an elevation grid…").clicked() {
        commands.push(Command::Act(Act::NewPlan));
        commands.push(Command::CloseSheet);
    }
    ui.add_space(10.0);
    door(ui, "Go on with a plan", "Plans that were open before, or another one:");
    for path in session.recent.iter().take(4) {
        ui.horizontal(|ui| {
            let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
            if ui.button(name).on_hover_text(path.display().to_string()).clicked() {
                commands.push(Command::OpenPath(path.clone()));
            }
            let folder = path.parent().map_or_else(String::new, |folder| folder.display().to_string());
            ui.add(egui::Label::new(RichText::new(folder).small().color(crate::theme::inks(ui).faint_ink)).truncate());
        });
    }
    if ui.button("Open a plan…").clicked() {
        commands.push(Command::Act(Act::Open));
        commands.push(Command::CloseSheet);
    }
    ui.add_space(12.0);
    for says in crate::words::cautions::at(Place::Start) {
        ui.label(RichText::new(says).small().color(crate::theme::inks(ui).faint_ink));
    }
}

fn sample_name(path: &Path) -> String {
    let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    let stem = name.trim_end_matches(".plan.geojson");
    let mut letters = stem.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

fn door(ui: &mut Ui, title: &str, text: &str) {
    ui.label(RichText::new(title).font(bold(15.0)));
    ui.label(text);
}

const HANDS: &[(&str, &str)] = &[
    ("wheel, or two fingers", "closer and farther, at the pointer"),
    ("right or middle button, or space and drag", "move the map"),
    ("arrow keys", "move the map"),
    ("click", "select; while drawing: set a corner"),
    ("shift and click", "select one more"),
    ("drag a corner or a line", "move it; joined lines follow"),
    ("drag the ring in the middle of a leg", "a new corner"),
    ("double click or Enter", "end the line that is being drawn"),
    ("click the first corner", "close the line"),
    ("digits, then Enter", "length of the leg on the ground; 42 75 sets length and bearing"),
    ("Backspace", "take the last corner away while drawing"),
    ("Esc", "one step back"),
    ("Alt while moving", "no snapping"),
    ("wheel over the long section", "closer and farther along the line; a double click shows it whole"),
    ("drag a post in the long section", "move it along its line; it stays where you put it"),
    ("shift and click in the long section", "a new post there"),
    ("Delete on a chosen post", "no post there; others are planned around it"),
    ("F  L  T  G  P", "fence line, lead-out, track, gate, paddock"),
    ("1 to 7", "the stages"),
];

fn keys(ui: &Ui, commands: &mut Vec<Command>) {
    let open = sheet(ui, "Keys and mouse", |ui| {
        ui.set_width(560.0);
        ScrollArea::vertical().max_height(520.0).show(ui, |ui| {
            Grid::new("keys").num_columns(2).spacing([18.0, 4.0]).striped(true).show(ui, |ui| {
                for (hand, does) in HANDS {
                    ui.label(RichText::new(*hand).strong());
                    ui.label(*does);
                    ui.end_row();
                }
                for row in ACTS.iter().filter(|row| row.shortcut.is_some()) {
                    let text = row.shortcut.map_or_else(String::new, |shortcut| key_text(ui.ctx(), &shortcut));
                    ui.label(RichText::new(text).strong());
                    ui.label(row.tip);
                    ui.end_row();
                }
            });
        });
    });
    if !open {
        commands.push(Command::CloseSheet);
    }
}

fn path_field(ui: &Ui, session: &mut Session, commands: &mut Vec<Command>) {
    let Some(mut wanted) = session.path_wanted.take() else { return };
    let (title, verb) = match wanted.purpose {
        Purpose::Open => ("Open a plan or an elevation grid", "Open"),
        Purpose::OpenGrid => ("Elevation grid of your ground", "Open"),
        Purpose::AddGrid => ("A further elevation grid", "Add"),
        Purpose::AddPhoto => ("An air photo", "Add"),
        Purpose::ReadPrices => ("A sheet with prices filled in", "Read"),
        Purpose::ReadRound => ("What was written on a round", "Read"),
        Purpose::ComparePlan => ("A plan to compare with", "Compare"),
        Purpose::SavePlan { .. } => ("Save the plan", "Save"),
        Purpose::Share { .. } => ("Write a file for somebody else", "Write"),
    };
    let mut done = false;
    let open = sheet(ui, title, |ui| {
        ui.set_width(520.0);
        let label = ui.label("Path of the file");
        let field = ui.add(TextEdit::singleline(&mut wanted.typed).desired_width(f32::INFINITY)).labelled_by(label.id);
        // What is typed goes here and not to the keys of the window behind.
        if std::mem::take(&mut wanted.is_new) {
            field.request_focus();
        }
        ui.add_space(8.0);
        let entered = field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
        if (ui.button(verb).clicked() || entered) && !wanted.typed.trim().is_empty() {
            let path = from_home(wanted.typed.trim());
            commands.push(match wanted.purpose {
                Purpose::Open | Purpose::OpenGrid => Command::OpenPath(path),
                Purpose::AddGrid => Command::AddGrid(path),
                Purpose::AddPhoto => Command::AddPhoto(path),
                Purpose::ReadPrices => Command::ReadPrices(path),
                Purpose::ReadRound => Command::Log(crate::log_view::LogAsk::Read(path)),
                Purpose::ComparePlan => Command::Layouts(crate::layouts::LayoutAsk::ComparePlan(path)),
                Purpose::SavePlan { .. } => Command::SavePath(path),
                Purpose::Share { .. } => Command::SharePath(path),
            });
            done = true;
        }
    });
    let given_up = ui.input(|input| input.key_pressed(egui::Key::Escape));
    if open && !done && !given_up {
        session.path_wanted = Some(wanted);
    }
}

/// A path as it was typed, with `~` for the keeper's own folder.
fn from_home(typed: &str) -> PathBuf {
    let home = directories::UserDirs::new().map(|user| user.home_dir().to_owned());
    match (typed.strip_prefix('~'), home) {
        (Some(rest), Some(home)) if rest.is_empty() || rest.starts_with('/') => home.join(rest.trim_start_matches('/')),
        _ => PathBuf::from(typed),
    }
}
