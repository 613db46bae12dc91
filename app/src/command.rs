//! What can be asked of the window. An act has a text, a tip and a key of its own; a command may carry more.

use crate::incoming::{Taking, Which};
use crate::keeping::KeepAsk;
use crate::layouts::LayoutAsk;
use crate::log_view::LogAsk;
use crate::map::look::LandLook;
use crate::map::used::DrawnBy;
use crate::order_view::OrderAsk;
use crate::perform_draft::Stroke;
use crate::power_view::Measured;
use crate::rerouting::CourseAsk;
use crate::round_view::RoundAsk;
use crate::session::{AfterUnsaved, Pointed, Selection, Stage};
use crate::share_view::ShareAsk;
use crate::tools::{Point, ToolKind};
use egui::{Key, KeyboardShortcut, Modifiers};
use hillwire_core::catalogue::GroundState;
use hillwire_core::finding::{BiteChange, Place, Remedy};
use hillwire_core::land::MapPoint;
use hillwire_core::mend::MendChoice;
use hillwire_core::plan::{Edit, Gesture, UnitSystem};
use std::path::PathBuf;

/// Something that needs nothing but its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Act {
    /// Start afresh from an elevation grid.
    NewPlan,
    /// Lay a further elevation grid over or under the one there is.
    AddGrid,
    /// Lay an air photo under the plan.
    AddPhoto,
    /// Open a plan or a grid.
    Open,
    /// Save the plan where it came from.
    Save,
    /// Save the plan elsewhere.
    SaveAs,
    /// Take the last change back.
    Undo,
    /// Make the change that was taken back.
    Redo,
    /// Remove what is selected.
    Remove,
    /// Select everything drawn.
    SelectAll,
    /// Show the whole plan.
    ShowAll,
    /// Closer.
    ZoomIn,
    /// Farther.
    ZoomOut,
    /// The sheet of keys.
    Keys,
    /// The catalogue.
    Catalogue,
    /// The welcome sheet.
    Welcome,
    /// Light or dark.
    LightOrDark,
    /// Larger text.
    LargerText,
    /// Smaller text.
    SmallerText,
}

/// An act with what the keeper reads about it.
pub struct ActRow {
    /// The act.
    pub act: Act,
    /// What its button says.
    pub text: &'static str,
    /// What hovering says.
    pub tip: &'static str,
    /// Its key.
    pub shortcut: Option<KeyboardShortcut>,
}

const CTRL: Modifiers = Modifiers::COMMAND;
const CTRL_SHIFT: Modifiers = Modifiers { shift: true, ..Modifiers::COMMAND };

const fn key(modifiers: Modifiers, key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(modifiers, key))
}

const fn row(act: Act, text: &'static str, tip: &'static str, shortcut: Option<KeyboardShortcut>) -> ActRow {
    ActRow { act, text, tip, shortcut }
}

/// Every act. Those with more modifier keys stand first: the first match takes the key.
pub const ACTS: &[ActRow] = &[
    row(Act::SaveAs, "Save as…", "Save this plan under another name", key(CTRL_SHIFT, Key::S)),
    row(Act::Redo, "Redo", "Make again what was taken back", key(CTRL_SHIFT, Key::Z)),
    row(Act::NewPlan, "New plan…", "Start a plan on an elevation grid of your ground", key(CTRL, Key::N)),
    row(
        Act::AddGrid,
        "Add an elevation grid…",
        "Lay a further grid over or under those that there are; at each place the finest one with a height counts",
        None,
    ),
    row(
        Act::AddPhoto,
        "Add an air photo…",
        "Lay a picture under the plan: PNG or JPEG with its world file, or a GeoTIFF in colours; dropping the file on the window does the same",
        None,
    ),
    row(
        Act::Open,
        "Open…",
        "Open a plan or an elevation grid, or take in a GPX, KML or GeoJSON file; dropping the file on the window does the same",
        key(CTRL, Key::O),
    ),
    row(Act::Save, "Save", "Save this plan", key(CTRL, Key::S)),
    row(Act::Undo, "Undo", "Take the last change back, as far as you like", key(CTRL, Key::Z)),
    row(Act::SelectAll, "Select all", "Select everything drawn", key(CTRL, Key::A)),
    row(Act::LargerText, "Larger text", "Make all text larger, up to twice the size", key(CTRL, Key::Plus)),
    row(Act::SmallerText, "Smaller text", "Make all text smaller, down to four fifths", key(CTRL, Key::Minus)),
    row(Act::Remove, "Remove", "Remove the selected corner, or what is selected", key(Modifiers::NONE, Key::Delete)),
    row(Act::ShowAll, "Show all", "Show the whole plan", key(Modifiers::NONE, Key::Home)),
    row(Act::ZoomIn, "Closer", "Look closer; the wheel does so at the pointer", key(Modifiers::NONE, Key::Plus)),
    row(Act::ZoomOut, "Farther", "Look from farther away", key(Modifiers::NONE, Key::Minus)),
    row(Act::Keys, "Keys", "What the keys and the mouse do", key(Modifiers::NONE, Key::Questionmark)),
    row(Act::Catalogue, "Catalogue", "Wires, posts, insulators, animals, soils: their numbers, and where these come from", None),
    row(Act::Welcome, "Welcome sheet", "The sample plans, a new plan, the first paddock step by step", None),
    row(Act::LightOrDark, "Light or dark", "Dark ink on light paper, or the other way round", None),
];

/// A key as people write it: `Ctrl++`, `?`.
pub fn key_text(ctx: &egui::Context, shortcut: &KeyboardShortcut) -> String {
    let written = ctx.format_shortcut(shortcut);
    written.replace(shortcut.logical_key.name(), shortcut.logical_key.symbol_or_name())
}

impl Act {
    /// What the keeper reads about it.
    pub fn row(self) -> &'static ActRow {
        ACTS.iter().find(|row| row.act == self).expect("every act has a row")
    }
}

/// Anything that can be asked of the window.
#[derive(Clone, Debug)]
pub enum Command {
    /// An act.
    Act(Act),
    /// Open this file.
    OpenPath(PathBuf),
    /// Lay this elevation grid over or under those that there are.
    AddGrid(PathBuf),
    /// Lay this air photo under the plan.
    AddPhoto(PathBuf),
    /// Save the plan to this file.
    SavePath(PathBuf),
    /// Write the plan for others to this file.
    SharePath(PathBuf),
    /// Ask where to write the plan for others, with this ending.
    ShareAs(&'static str),
    /// Show another stage.
    Stage(Stage),
    /// Take a tool in hand.
    Take(ToolKind),
    /// Select this.
    Select(Selection),
    /// Bring a place into view.
    Show(Place),
    /// Bring a map point into view.
    ShowPoint(MapPoint),
    /// Change the plan in one step.
    Change(Gesture, Vec<Edit>),
    /// Try a remedy on a copy of the plan.
    TryMend(MendChoice),
    /// Draw the zone that a finding only guesses at: somebody went there and saw it.
    Confirm(usize, Remedy),
    /// Do what was tried.
    Mend,
    /// Leave what was tried.
    LeaveMend,
    /// Begin a change that goes on while the pointer is held.
    BeginChange(Gesture),
    /// Go on with it.
    GoOn(Vec<Edit>),
    /// End it.
    EndChange,
    /// Take it back.
    AbandonChange,
    /// Go on with the line under the pen.
    Stroke(Stroke),
    /// Set a point.
    SetPoint(Point, MapPoint),
    /// Metric or US customary.
    Units(UnitSystem),
    /// Open the sample ground with nothing drawn and show the first paddock step by step; or end that.
    Guide(bool),
    /// Put the notices away.
    DismissNotices,
    /// Stop the file on its way in.
    CancelOpening,
    /// Let clicks in the long section add posts, or end that.
    AddPosts(bool),
    /// Show the whole line in the long section.
    ShowWholeLine,
    /// Draw lines on the stage Hold by this.
    DrawBy(DrawnBy),
    /// Colour the ground on the stage Land by this.
    LookAtLand(LandLook),
    /// Show this state of the ground on the stage Power, measured so.
    ShowPower(GroundState, Measured),
    /// Ask for a sheet of prices that somebody filled in.
    AskForPrices,
    /// Read this sheet of prices.
    ReadPrices(PathBuf),
    /// Make files for others so.
    Share(ShareAsk),
    /// Set layouts aside, take them, hold them against each other.
    Layouts(LayoutAsk),
    /// Look for other courses of a line, or take one.
    Courses(CourseAsk),
    /// Show the order so.
    Order(OrderAsk),
    /// Show the log so, and take in what was written on a round.
    Log(LogAsk),
    /// Go round so, and show it so.
    Round(RoundAsk),
    /// Try what would bring more to the far end.
    AskWhatHelps,
    /// Make a change that brings more.
    Help(BiteChange),
    /// Look for the fault by the readings of the plan.
    LookForFault,
    /// Draw the pulse at this place; or none.
    PulseAt(Option<Pointed>),
    /// Stretch the long section by this factor.
    Exaggerate(f64),
    /// Save, then close the window or open what waits.
    SaveThen(AfterUnsaved),
    /// Leave the plan without saving: what is not saved is kept aside.
    LeaveUnsaved(AfterUnsaved),
    /// Say something about what is not saved.
    Keep(KeepAsk),
    /// One step back: out of the drawing, out of the tool, out of the selection.
    StepBack,
    /// Show the catalogue, searched for this.
    ShowCatalogue(String),
    /// Say what some of that is which came from another program.
    SayIncoming(Which, Taking),
    /// Take it into the plan.
    TakeIn,
    /// Close whatever sheet is open; what it shows waits.
    CloseSheet,
    /// Close it, and drop what it shows.
    LeaveSheet,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_does_one_thing() {
        for (index, row) in ACTS.iter().enumerate() {
            let Some(shortcut) = row.shortcut else { continue };
            let same = ACTS.iter().skip(index + 1).find(|other| other.shortcut == Some(shortcut));
            assert!(same.is_none(), "{} and {} share a key", row.text, same.map_or("", |other| other.text));
        }
    }
}
