//! Where the fault is: the plan's readings beside what was expected, who is suspected, and where to read next.

use crate::card::heading;
use crate::command::Command;
use crate::section::at_station;
use crate::session::{Selection, Session};
use crate::theme;
use crate::words;
use egui::{Grid, RichText, Ui};
use hillwire_core::catalogue::GroundState;
use hillwire_core::plan::FeatureId;
use hillwire_core::power::{Expected, LocateError, Located, Read, Suspect, Wiring, locate};
use std::sync::Arc;

/// Room for where a reading was taken, points.
const PLACE_WIDTH: f32 = 118.0;

/// Everything that looking for a fault needs.
pub struct LocateRequest {
    /// The network.
    pub wiring: Arc<Wiring>,
    /// The state of the ground when the readings were taken.
    pub state: GroundState,
    /// The readings.
    pub reads: Vec<Read>,
    /// Revision of the plan.
    pub revision: u64,
}

/// What the readings of a revision of the plan tell.
#[derive(Clone, Debug)]
pub struct Found {
    /// The revision.
    pub revision: u64,
    /// The state of the ground that was taken.
    pub state: GroundState,
    /// The readings.
    pub reads: Vec<Read>,
    /// What they tell.
    pub located: Result<Located, LocateError>,
}

/// Whether anybody has asked where the fault is in the plan as it is.
#[derive(Clone, Debug, Default)]
pub enum Search {
    /// Nobody has.
    #[default]
    NotAsked,
    /// It is being looked for.
    Underway,
    /// This.
    Found(Box<Found>),
}

/// Looks for the fault.
pub fn looked(request: LocateRequest) -> Found {
    let located = locate(&request.wiring, request.state, &request.reads);
    Found { revision: request.revision, state: request.state, reads: request.reads, located }
}

impl Session {
    /// Looks for the fault, when the consequences shown are those of the plan as it is.
    pub fn look_for_fault(&mut self) {
        if !self.is_settled() {
            return;
        }
        let wiring = Arc::clone(&self.outcome.power.wiring);
        let reads = wiring.last_readings().into_iter().map(|reading| reading.read.clone()).collect();
        let state = GroundState::from_word(&self.plan().head.ground.state).unwrap_or_default();
        self.search = Search::Underway;
        self.worker.request_locate(LocateRequest { wiring, state, reads, revision: self.outcome.revision });
    }

    /// Takes the answer in, unless the plan has changed since.
    pub fn take_found(&mut self, found: Found) {
        if matches!(self.search, Search::Underway) && found.revision == self.history.revision() {
            self.search = Search::Found(Box::new(found));
        }
    }

    /// The stretch that most probably holds the fault, when the readings accuse one.
    pub fn suspected(&self) -> Option<&Suspect> {
        let Search::Found(found) = &self.search else { return None };
        let located = found.located.as_ref().ok()?;
        located.suspects.first().filter(|first| first.probability > located.nothing)
    }
}

/// The button, then what the readings tell.
pub fn card(ui: &mut Ui, session: &Session, commands: &mut Vec<Command>) {
    let wiring = &session.outcome.power.wiring;
    if session.outcome.power.states.is_empty() {
        return;
    }
    ui.add_space(6.0);
    heading(ui, "Where is the fault");
    let readings = wiring.last_readings().len();
    if readings == 0 {
        let text = "Set readings on the lines where you took them, at ends and joints first, and type what the meter showed: they tell where \
                    something leads away or stands in the way.";
        ui.label(RichText::new(text).color(theme::inks(ui).faint_ink));
        return;
    }
    match &session.search {
        Search::NotAsked => {
            let state = &session.plan().head.ground.state;
            let readings = if readings == 1 { "1 reading".to_owned() } else { format!("{readings} readings") };
            ui.label(format!("{readings} of the last day, on ground that is {state}."));
            let tip = "Tries a fault of every strength at every place, and holds it against the readings of the last day";
            if ui.button("Look for it").on_hover_text(tip).clicked() {
                commands.push(Command::LookForFault);
            }
        }
        Search::Underway => {
            ui.horizontal(|ui| {
                ui.spinner();
                ui.label("Looking …");
            });
        }
        Search::Found(found) => told(ui, session, found, commands),
    }
}

fn told(ui: &mut Ui, session: &Session, found: &Found, commands: &mut Vec<Command>) {
    let located = match &found.located {
        Ok(located) => located,
        Err(trouble) => {
            ui.label(words::sentence(&trouble.to_string()));
            return;
        }
    };
    readings(ui, session, found, &located.expected);
    let name = |id: &FeatureId| session.label(id);
    let power = &session.outcome.power.wiring;
    let suspects: Vec<(String, &Suspect)> = located
        .suspects
        .iter()
        .map(|suspect| (words::bite::suspected(suspect, &name(&suspect.line), session.units()), suspect))
        .collect();
    for sentence in words::bite::located(located, power, name, session.units()) {
        match suspects.iter().find(|(said, _)| *said == sentence) {
            Some((_, suspect)) => suspected(ui, session, &sentence, suspect, commands),
            None => drop(ui.label(sentence)),
        }
    }
    if let Some(next) = located.next.and_then(|next| power.stations.get(next)) {
        let tip = "Show the place where one more reading would tell most";
        if ui.button("Show where to read next").on_hover_text(tip).clicked() {
            commands.push(Command::Select(Selection::of(next.line.clone())));
            commands.push(Command::ShowPoint(next.at));
        }
    }
}

/// A row a reading: where, what was read, what was expected, and how much of it that is.
fn readings(ui: &mut Ui, session: &Session, found: &Found, expected: &[Option<Expected>]) {
    let faint = theme::inks(ui).faint_ink;
    Grid::new("readings-expected").num_columns(4).spacing([8.0, 3.0]).show(ui, |ui| {
        for heading in ["at", "read", "expected", ""] {
            ui.label(RichText::new(heading).small().color(faint));
        }
        ui.end_row();
        for (read, expected) in found.reads.iter().zip(expected) {
            // The line's name may be cut short, not the station.
            let place = format!("{} {}", words::length(read.station, session.units()), session.label(&read.line));
            ui.scope(|ui| {
                ui.set_width(PLACE_WIDTH);
                ui.add(egui::Label::new(&place).truncate()).on_hover_text(&place);
            });
            ui.label(read.volt.map(words::voltage).unwrap_or_default());
            ui.label(expected.map_or_else(|| "no wire".to_owned(), |expected| words::voltage(expected.volt)));
            let share = read.volt.zip(*expected).map(|(volt, expected)| words::share(volt / expected.volt));
            ui.label(share.unwrap_or_default());
            ui.end_row();
        }
    });
}

/// What is said of one stretch, with the way there.
fn suspected(ui: &mut Ui, session: &Session, sentence: &str, suspect: &Suspect, commands: &mut Vec<Command>) {
    let frame = egui::Frame::new().fill(ui.visuals().faint_bg_color).corner_radius(5.0);
    frame.inner_margin(egui::Margin::symmetric(8, 4)).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.label(sentence);
        let button = ui.small_button("Show").on_hover_text("Show the place where it most likely is");
        let name = format!("Show {}", session.label(&suspect.line));
        button.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, &name));
        if button.clicked() {
            commands.push(Command::Select(Selection::of(suspect.line.clone())));
            let line = session.line_outcome(&suspect.line);
            commands.extend(line.and_then(|line| at_station(line, suspect.likeliest.as_metres())).map(Command::ShowPoint));
        }
    });
}
