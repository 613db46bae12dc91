//! What another program drew, before it is taken into the plan: a sheet asks what each of it is, and nothing changes until it is said.

use crate::command::Command;
use crate::session::{Session, Sheet};
use crate::sheets::sheet;
use crate::words;
use egui::{ComboBox, RichText, ScrollArea, Ui};
use hillwire_core::plan::{Feature, Geometry, Kind, Plan, kinds_to_take};

/// What becomes of one thing that came.
#[derive(Clone, Debug, PartialEq)]
pub enum Taking {
    /// It is left out.
    Leave,
    /// It is taken in as this; grey and without a kind until somebody says more.
    As(Kind),
}

/// What came, and what shall become of it.
#[derive(Clone, Debug, Default)]
pub struct Incoming {
    /// What came.
    pub features: Vec<Feature>,
    /// What shall become of each.
    pub takings: Vec<Taking>,
    /// What is worth saying about the file.
    pub notices: Vec<String>,
}

/// Which of the things that came.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// One.
    One(usize),
    /// All of one geometry.
    All(Shape),
}

/// Lines, areas or points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// Lines.
    Line,
    /// Areas.
    Area,
    /// Points.
    Point,
    /// What is not drawn, and only kept.
    Other,
}

impl Shape {
    fn of(feature: &Feature) -> Self {
        match feature.geometry {
            Geometry::Line(_) => Self::Line,
            Geometry::Area(_) => Self::Area,
            Geometry::Point(_) => Self::Point,
            Geometry::Other(_) => Self::Other,
        }
    }
}

impl Incoming {
    /// Features of a file; each is taken in without a kind until somebody says what it is.
    pub fn new(features: Vec<Feature>, notices: Vec<String>) -> Self {
        let takings = features.iter().map(|feature| Taking::As(feature.kind.clone())).collect();
        Self { features, takings, notices }
    }

    /// More has come.
    fn add(&mut self, features: Vec<Feature>, notices: Vec<String>) {
        let more = Self::new(features, notices);
        self.features.extend(more.features);
        self.takings.extend(more.takings);
        self.notices.extend(more.notices);
    }

    /// Says what shall become of some.
    pub fn say(&mut self, which: Which, taking: &Taking) {
        for (index, (feature, said)) in self.features.iter().zip(&mut self.takings).enumerate() {
            let is_meant = match which {
                Which::One(one) => one == index,
                Which::All(shape) => shape == Shape::of(feature),
            };
            if is_meant {
                said.clone_from(taking);
            }
        }
    }

    /// What is taken in, as it was said.
    pub fn taken(self) -> (Vec<Feature>, Vec<String>) {
        let both = self.features.into_iter().zip(self.takings);
        let taken = both.filter_map(|(feature, taking)| match taking {
            Taking::Leave => None,
            Taking::As(kind) => Some(Feature { kind, ..feature }),
        });
        (taken.collect(), self.notices)
    }

    fn count(&self) -> usize {
        self.takings.iter().filter(|taking| **taking != Taking::Leave).count()
    }
}

/// The sheet.
pub fn show(ui: &Ui, session: &Session, commands: &mut Vec<Command>) {
    let Some(incoming) = &session.incoming else { return };
    let open = sheet(ui, "What came from the other program", |ui| {
        ui.set_width(560.0);
        ui.label("Say what each of it is. Nothing of your plan changes before you take it in, and then it is one step to undo.");
        for notice in incoming.notices.iter().take(4) {
            ui.label(RichText::new(notice).small().weak());
        }
        ui.add_space(8.0);
        for (shape, name) in [(Shape::Line, "all lines"), (Shape::Area, "all areas"), (Shape::Point, "all points")] {
            let alike: Vec<usize> = (0..incoming.features.len()).filter(|k| Shape::of(&incoming.features[*k]) == shape).collect();
            let Some(first) = alike.first() else { continue };
            let same = alike.iter().all(|k| incoming.takings[*k] == incoming.takings[*first]);
            let said = if same { text_of(&incoming.takings[*first]) } else { "as said below".to_owned() };
            let title = format!("{name} ({})", alike.len());
            row(ui, session.plan(), (&title, name), &said, &incoming.features[*first], Which::All(shape), commands);
        }
        ui.separator();
        ScrollArea::vertical().max_height(300.0).auto_shrink([false, true]).show_rows(
            ui,
            24.0,
            incoming.features.len(),
            |ui, shown| {
                for index in shown {
                    let feature = &incoming.features[index];
                    let (title, name) = (title_of(feature), format!("what {} is", feature.label()));
                    let said = text_of(&incoming.takings[index]);
                    row(ui, session.plan(), (&title, &name), &said, feature, Which::One(index), commands);
                }
            },
        );
        ui.add_space(8.0);
        ui.horizontal(|ui| {
            let count = incoming.count();
            let text = if count == 1 { "Take 1 thing in".to_owned() } else { format!("Take {count} things in") };
            if ui.add_enabled(count > 0, egui::Button::new(text)).clicked() {
                commands.push(Command::TakeIn);
            }
            if ui.button("Leave it all").clicked() {
                commands.push(Command::LeaveSheet);
            }
        });
    });
    if !open {
        commands.push(Command::CloseSheet);
    }
}

/// One row: what it is called, and what it is taken as.
fn row(
    ui: &mut Ui,
    plan: &Plan,
    (title, name): (&str, &str),
    said: &str,
    feature: &Feature,
    which: Which,
    commands: &mut Vec<Command>,
) {
    ui.horizontal(|ui| {
        ui.allocate_ui_with_layout(egui::vec2(320.0, 20.0), egui::Layout::left_to_right(egui::Align::Center), |ui| {
            ui.set_min_width(320.0);
            ui.add(egui::Label::new(title).truncate());
        });
        let choices = kinds_to_take(&feature.geometry, plan).into_iter().map(Taking::As);
        let choices = choices.chain([Taking::As(Kind::Other(None)), Taking::Leave]);
        let combo =
            ComboBox::from_id_salt(("taken as", title, format!("{which:?}"))).width(190.0).height(340.0).selected_text(said);
        let shown = combo.show_ui(ui, |ui| {
            for taking in choices {
                let text = text_of(&taking);
                if ui.selectable_label(text == said, text).clicked() {
                    commands.push(Command::SayIncoming(which, taking));
                }
            }
        });
        shown.response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::ComboBox, true, name));
    });
}

fn title_of(feature: &Feature) -> String {
    let what = match Shape::of(feature) {
        Shape::Line => format!("line, {} corners", feature.line().map_or(0, <[_]>::len)),
        Shape::Area => "area".to_owned(),
        Shape::Point => "point".to_owned(),
        Shape::Other => "not drawn".to_owned(),
    };
    format!("{} · {what}", feature.name.as_deref().unwrap_or("without a name"))
}

fn text_of(taking: &Taking) -> String {
    match taking {
        Taking::Leave => "leave it out".to_owned(),
        Taking::As(Kind::Other(_)) => "say it later".to_owned(),
        Taking::As(Kind::Zone(zone)) => words::zone(&zone.of).to_owned(),
        Taking::As(kind) => words::kind(kind).to_owned(),
    }
}

impl Session {
    /// Shows what came, and asks what it is.
    pub(crate) fn ask_about(&mut self, features: Vec<Feature>, notices: Vec<String>) {
        if features.is_empty() {
            self.notices.extend(notices);
            self.notices.push("There is nothing in that file that can be drawn.".to_owned());
            return;
        }
        let ground = self.land.ground.as_ref().map(|_| self.frame.origin());
        if let Some(far) = self.plan().far_from_it(&features, ground) {
            self.notices.push(format!("Nothing of that file is taken in: {far}."));
            return;
        }
        match &mut self.incoming {
            // What came before and waits for its answers keeps them.
            Some(waiting) => waiting.add(features, notices),
            None => self.incoming = Some(Incoming::new(features, notices)),
        }
        self.put_up(Sheet::Incoming);
    }
}
