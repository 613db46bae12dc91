//! The window put together: tally above, stages left, card right, long section below, the map in the middle.

use crate::card;
use crate::command::{ACTS, Act, Command};
use crate::journal::{self, Journal, Keep};
use crate::log_pane;
use crate::map::MapPane;
use crate::perform::Hands;
use crate::perform_draft::Stroke;
use crate::picker::Picker;
use crate::recent;
use crate::section::{self, SectionPane};
use crate::session::{Session, Sheet, Stage};
use crate::sheets;
use crate::stages;
use crate::tally;
use crate::theme;
use crate::toolbar;
use crate::tools::{Drawn, Point, ToolKind};
use crate::worker::Pace;
use egui::{CentralPanel, Event, Frame, Key, Margin, Panel, Ui};
use std::path::PathBuf;

/// The window's own state.
pub struct Window {
    /// What it knows.
    pub session: Session,
    map: MapPane,
    section: SectionPane,
    picker: Picker,
    title: String,
    /// When the plan file was looked at last, by the window's clock in seconds.
    looked_at_s: f64,
    typing: Typing,
}

/// Whether somebody types, or did until just now.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Typing {
    #[default]
    No,
    /// A field has the keys.
    InField,
    /// A field gave the keys up, and nothing has been clicked since: Backspace is still meant for its letters.
    JustEnded,
}

/// How often the plan file is looked at while somebody works in the window, seconds.
const LOOK_EVERY_S: f64 = 3.0;

impl Window {
    /// A window, with its fonts and colours installed. Beside drawing, it keeps journals in the user's data folder; at once, in none.
    pub fn new(ctx: &egui::Context, pace: Pace, samples: Vec<PathBuf>) -> Self {
        let folder = (pace == Pace::Beside).then(journal::usual_folder).flatten();
        Self::keeping_in(folder, ctx, pace, samples)
    }

    /// A window that keeps in this folder what cannot stand beside a plan.
    pub fn keeping_in(folder: Option<PathBuf>, ctx: &egui::Context, pace: Pace, samples: Vec<PathBuf>) -> Self {
        theme::install(ctx);
        let mut session = Session::new(ctx, pace);
        session.samples = samples;
        session.sheet = Some(Sheet::Welcome);
        let keeps = pace == Pace::Beside || folder.is_some();
        session.keeping.journal = keeps.then(|| {
            let mut journal = Journal::new(folder.clone());
            let ctx = ctx.clone();
            journal.wake_with(move || ctx.request_repaint());
            journal
        });
        if pace == Pace::Beside {
            (session.recent, session.keeping.gone) = recent::load();
        }
        session.keeping.left_over = journal::left_over_unsaved(folder.as_deref());
        session.keeping.folder = folder;
        session.keeping.orders.push(Keep::Turned(session.journal_places(), None));
        session.list_kept();
        if session.keeping.left_over.is_some() {
            session.put_up(Sheet::LeftOver);
        }
        Self {
            session,
            map: MapPane::default(),
            section: SectionPane::default(),
            picker: Picker::default(),
            title: String::new(),
            looked_at_s: 0.0,
            typing: Typing::No,
        }
    }

    /// Opens a plan or a grid, instead of what may be left of an unsaved plan from before: that waits, and the welcome sheet has it.
    pub fn open(&mut self, path: PathBuf, ctx: &egui::Context) {
        self.session.sheet = None;
        self.session.sheets_below.clear();
        self.perform(vec![Command::OpenPath(path)], ctx);
    }

    /// Carries commands out, in order.
    pub fn perform(&mut self, commands: Vec<Command>, ctx: &egui::Context) {
        for command in commands {
            self.session.perform(command, &mut Hands { ctx, picker: &mut self.picker });
        }
    }

    /// One frame of the whole window.
    pub fn show(&mut self, ui: &mut Ui) {
        let ctx = ui.ctx().clone();
        self.take_in(&ctx);
        let mut commands = Vec::new();
        let last = end_typing(&ctx);
        self.typing = typing_now(&ctx, self.typing);
        if let Some((purpose, answer)) = self.picker.answer() {
            self.session.after_picking(purpose, answer, &ctx);
        }
        take_dropped_files(&ctx, &mut commands);
        keyboard(&ctx, &self.session, self.typing, &mut commands);
        self.panels(ui, &mut commands);
        sheets::show(ui, &mut self.session, &mut commands);
        commands.extend(last);
        self.perform(commands, &ctx);
        self.session.keep_journal();
        self.guard_closing(&ctx);
        self.name_window(&ctx);
        // What the commands changed is seen in this very frame's consequences, not in the next input's.
        if self.session.is_waiting() {
            ctx.request_repaint();
        }
    }

    /// Takes in what work has brought, and looks at the plan file when the window comes to the front.
    fn take_in(&mut self, ctx: &egui::Context) {
        let tiles = self.session.refresh(ctx.input(|input| input.time));
        self.map.take(tiles);
        let now_s = ctx.input(|input| input.time);
        let comes_to_the_front = ctx.input(|input| input.events.contains(&Event::WindowFocused(true)));
        if comes_to_the_front || now_s - self.looked_at_s > LOOK_EVERY_S && self.session.worker.pace() == Pace::Beside {
            self.looked_at_s = now_s;
            self.session.look_at_file();
        }
    }

    /// A turn of the window without drawing it: what has come is taken in, these commands are carried out, the journal is kept.
    pub fn turn(&mut self, commands: Vec<Command>, ctx: &egui::Context) {
        self.take_in(ctx);
        self.perform(commands, ctx);
        self.session.keep_journal();
    }

    /// Whether all that was done so far stands in the journal, on a disk.
    pub fn is_journalled(&self) -> bool {
        self.session.keeping.journal.as_ref().is_some_and(Journal::is_on_disk)
    }

    /// The program is about to end by a fault of its own: what is in the plan goes into the journal first.
    pub fn rescue(&mut self) {
        self.session.history.commit();
        self.session.keep_journal();
        // The writer ends once everything is written.
        self.session.keeping.journal = None;
    }

    /// The window is called by its plan.
    fn name_window(&mut self, ctx: &egui::Context) {
        let title = self.session.window_title();
        if title != self.title {
            ctx.send_viewport_cmd(egui::ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }

    fn panels(&mut self, ui: &mut Ui, commands: &mut Vec<Command>) {
        let fill = ui.visuals().panel_fill;
        let margin = |x, y| Frame::new().fill(fill).inner_margin(Margin::symmetric(x, y));
        Panel::top("tally").frame(margin(10, 6)).show(ui, |ui| tally::show(ui, &self.session, commands));
        crate::notices::show(ui, &self.session, commands);
        crate::guide::show(ui, &mut self.session, commands);
        Panel::left("stages")
            .resizable(false)
            .exact_size(92.0)
            .frame(margin(6, 6))
            .show(ui, |ui| stages::show(ui, &self.session, commands));
        Panel::right("card").default_size(310.0).size_range(260.0..=460.0).frame(margin(10, 6)).show(ui, |ui| {
            card::show(ui, &self.session, commands);
        });
        // With large text the window holds less: the map keeps the larger part.
        let tallest = (ui.available_height() * 0.45).clamp(110.0, 420.0);
        Panel::bottom("section").resizable(true).default_size(190.0).size_range(110.0..=tallest).frame(margin(8, 5)).show(
            ui,
            |ui| {
                if !log_pane::show(ui, &self.session, commands) {
                    section::show(ui, &mut self.section, &mut self.session, commands);
                }
            },
        );
        Panel::top("tools").frame(margin(8, 4)).show(ui, |ui| toolbar::show(ui, &self.session, commands));
        CentralPanel::default().frame(Frame::NONE).show(ui, |ui| self.map.show(ui, &mut self.session, commands));
    }

    fn guard_closing(&mut self, ctx: &egui::Context) {
        let is_asked = ctx.input(|input| input.viewport().close_requested());
        if is_asked && !self.session.asked_to_close() {
            ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
        }
        if self.session.may_close {
            self.session.keep_journal();
            ctx.send_viewport_cmd(egui::ViewportCommand::Close);
        }
    }
}

fn take_dropped_files(ctx: &egui::Context, commands: &mut Vec<Command>) {
    let dropped = ctx.input(|input| input.raw.dropped_files.clone());
    commands.extend(dropped.into_iter().map(|file| Command::OpenPath(file.path().to_owned())));
}

/// What is being typed into a field counts when the plan is saved or the window closed: the field gives it up first. Gives what is done after that.
fn end_typing(ctx: &egui::Context) -> Option<Command> {
    if !ctx.text_edit_focused() {
        return None;
    }
    let saves = ACTS
        .iter()
        .filter(|row| matches!(row.act, Act::Save | Act::SaveAs))
        .find(|row| row.shortcut.is_some_and(|shortcut| ctx.input_mut(|input| input.consume_shortcut(&shortcut))));
    if saves.is_some() || ctx.input(|input| input.viewport().close_requested()) {
        give_up_fields(ctx);
    }
    saves.map(|row| Command::Act(row.act))
}

/// Fields give up what is typed into them: it counts.
pub fn give_up_fields(ctx: &egui::Context) {
    ctx.memory_mut(|memory| memory.focused().into_iter().for_each(|field| memory.surrender_focus(field)));
}

fn typing_now(ctx: &egui::Context, before: Typing) -> Typing {
    let is_elsewhere = ctx.input(|input| input.pointer.any_pressed() || input.key_pressed(Key::Escape));
    match before {
        _ if ctx.text_edit_focused() => Typing::InField,
        Typing::No => Typing::No,
        _ if is_elsewhere => Typing::No,
        _ => Typing::JustEnded,
    }
}

/// Keys that act on the window, unless somebody is typing into a field. While a sheet asks, none reaches the plan behind it.
fn keyboard(ctx: &egui::Context, session: &Session, typing: Typing, commands: &mut Vec<Command>) {
    if ctx.text_edit_focused() {
        return;
    }
    if session.sheet.is_some_and(Sheet::asks) {
        if ctx.input(|input| input.key_pressed(Key::Escape)) && !egui::Popup::is_any_open(ctx) {
            commands.push(Command::CloseSheet);
        }
        return;
    }
    if session.draft.is_some() {
        drawing_keys(ctx, commands);
    }
    for row in ACTS {
        if let Some(shortcut) = row.shortcut
            && ctx.input_mut(|input| input.consume_shortcut(&shortcut))
        {
            commands.push(Command::Act(row.act));
        }
    }
    if session.draft.is_none() {
        tool_keys(ctx, commands);
        // A list that is open closes by it, and nothing else.
        if ctx.input(|input| input.key_pressed(Key::Escape)) && !egui::Popup::is_any_open(ctx) {
            commands.push(if session.sheet.is_some() { Command::CloseSheet } else { Command::StepBack });
        }
        if typing == Typing::No && ctx.input(|input| input.key_pressed(Key::Backspace)) {
            commands.push(Command::Act(Act::Remove));
        }
    }
}

fn drawing_keys(ctx: &egui::Context, commands: &mut Vec<Command>) {
    let events = ctx.input(|input| input.events.clone());
    for event in events {
        match event {
            Event::Text(text) => commands.extend(text.chars().map(|typed| Command::Stroke(Stroke::Typed(typed)))),
            Event::Key { key: Key::Enter, pressed: true, .. } => commands.push(Command::Stroke(Stroke::Ended)),
            Event::Key { key: Key::Backspace, pressed: true, .. } => commands.push(Command::Stroke(Stroke::TakenBack)),
            Event::Key { key: Key::Escape, pressed: true, .. } => commands.push(Command::StepBack),
            _ => {}
        }
    }
}

fn tool_keys(ctx: &egui::Context, commands: &mut Vec<Command>) {
    let tools = [
        (Key::F, ToolKind::Draw(Drawn::Fence)),
        (Key::L, ToolKind::Draw(Drawn::LeadOut)),
        (Key::T, ToolKind::Draw(Drawn::Track)),
        (Key::G, ToolKind::Set(Point::Gate)),
        (Key::P, ToolKind::Set(Point::Paddock)),
    ];
    let pressed = |key| ctx.input(|input| input.modifiers.is_none() && input.key_pressed(key));
    commands.extend(tools.into_iter().filter(|(key, _)| pressed(*key)).map(|(_, tool)| Command::Take(tool)));
    let stages = [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5, Key::Num6, Key::Num7];
    commands.extend(stages.into_iter().zip(Stage::ALL).filter(|(key, _)| pressed(*key)).map(|(_, stage)| Command::Stage(stage)));
}
