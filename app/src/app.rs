//! The window put together: tally above, stages left, card right, long section below, the map in the middle.

use crate::card;
use crate::command::{ACTS, Act, Command};
use crate::journal::{self, Journal};
use crate::log_pane;
use crate::map::MapPane;
use crate::perform::Hands;
use crate::perform_draft::Stroke;
use crate::picker::Picker;
use crate::recent;
use crate::section::{self, SectionPane};
use crate::session::{AfterUnsaved, Session, Sheet, Stage};
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
    journal: Option<Journal>,
    followed: (u64, u64, u64),
}

/// Where a file was opened although there is more than was saved.
const LEFT_FOR_LATER: &str =
    "A plan that was never saved is left from before. Start the program without a file to bring it back.";

impl Window {
    /// A window, with its fonts and colours installed.
    pub fn new(ctx: &egui::Context, pace: Pace, samples: Vec<PathBuf>) -> Self {
        theme::install(ctx);
        let mut session = Session::new(ctx, pace);
        session.samples = samples;
        session.sheet = Some(Sheet::Welcome);
        let mut journal = (pace == Pace::Beside).then(|| Journal::new(journal::usual_folder()));
        if let Some(journal) = &mut journal {
            session.recent = recent::load();
            session.left_over = journal.adopt_unsaved();
            if session.left_over.is_some() {
                session.sheet = Some(Sheet::LeftOver);
            }
        }
        Self {
            session,
            map: MapPane::default(),
            section: SectionPane::default(),
            picker: Picker::default(),
            journal,
            followed: (0, 0, 0),
        }
    }

    /// Opens a plan or a grid, instead of what may be left of an unsaved plan from before.
    pub fn open(&mut self, path: PathBuf, ctx: &egui::Context) {
        self.session.sheet = None;
        if let (Some(journal), Some(_)) = (&mut self.journal, self.session.left_over.take()) {
            journal.leave();
            self.session.notices.push(LEFT_FOR_LATER.to_owned());
        }
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
        let tiles = self.session.refresh(ctx.input(|input| input.time));
        self.map.take(tiles);
        let mut commands = Vec::new();
        if let Some((purpose, answer)) = self.picker.answer() {
            self.session.after_picking(purpose, answer, &ctx);
        }
        take_dropped_files(&ctx, &mut commands);
        keyboard(&ctx, &self.session, &mut commands);
        self.panels(ui, &mut commands);
        sheets::show(ui, &mut self.session, &mut commands);
        self.perform(commands, &ctx);
        self.keep_journal();
        self.guard_closing(&ctx);
        // What the commands changed is seen in this very frame's consequences, not in the next input's.
        if self.session.is_waiting() {
            ctx.request_repaint();
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

    /// Keeps the journal beside the plan: finished changes are written, and forgotten once they are saved.
    fn keep_journal(&mut self) {
        let (session, Some(journal)) = (&self.session, &mut self.journal) else { return };
        let now = (session.opened, session.journal_served, session.history.revision());
        if now == self.followed || session.history.is_open() {
            return;
        }
        let served = now.1 != self.followed.1;
        if served {
            journal.forget();
        }
        if served || now.0 != self.followed.0 {
            match session.home.path.as_deref() {
                Some(path) => journal.move_to(path, session.history.saved().clone()),
                None => journal.begin_unsaved(),
            }
            recent::keep(&session.recent);
        }
        // A plan on new ground in which nothing is drawn yet is not worth bringing back.
        if journal.has_begun() || session.is_unsaved() {
            journal.follow(session.plan());
        }
        self.followed = now;
    }

    fn guard_closing(&mut self, ctx: &egui::Context) {
        let closes = ctx.input(|input| input.viewport().close_requested());
        let is_done = self.session.may_close || closes && !self.session.is_unsaved();
        if let Some(journal) = self.journal.as_mut().filter(|_| is_done && self.session.left_over.is_none()) {
            // Saved, or left on purpose.
            journal.forget();
        }
        if self.session.may_close {
            ctx.send_viewport_cmd(egui::ViewportCommand::Close);
            return;
        }
        if closes && self.session.is_unsaved() {
            ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            self.session.sheet = Some(Sheet::Unsaved(AfterUnsaved::Close));
        }
    }
}

fn take_dropped_files(ctx: &egui::Context, commands: &mut Vec<Command>) {
    let dropped = ctx.input(|input| input.raw.dropped_files.clone());
    commands.extend(dropped.into_iter().map(|file| Command::OpenPath(file.path().to_owned())));
}

/// Keys that act on the window, unless somebody is typing into a field.
fn keyboard(ctx: &egui::Context, session: &Session, commands: &mut Vec<Command>) {
    if ctx.text_edit_focused() {
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
        if ctx.input(|input| input.key_pressed(Key::Escape)) {
            commands.push(if session.sheet.is_some() { Command::CloseSheet } else { Command::StepBack });
        }
        if ctx.input(|input| input.key_pressed(Key::Backspace)) {
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
