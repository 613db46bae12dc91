//! `hillwire power`: what arrives of the pulse, and where least.

use super::answer::{Answer, Stop};
use super::json::{maybe, number};
use super::opened::{Opened, PlanOptions};
use super::outputs::{CSV, Outputs, Writing};
use super::readings::beginning_of_list;
use super::table::{Side, cautions, paragraph, table};
use crate::files::Waiting;
use crate::words::{self, cautions::Place};
use clap::{Args, ValueEnum};
use hillwire_core::bounds::shown;
use hillwire_core::catalogue::GroundState;
use hillwire_core::job::Job;
use hillwire_core::mend::{Grown, WhatHelps, grown, what_helps};
use hillwire_core::plan::{FeatureId, Plan};
use hillwire_core::power::{Arrived, Laid, NOTICED, Power, STATES, StatePower, Station, WiredEnergizer, own_state, state_index};
use hillwire_core::share::CsvTable;
use hillwire_core::units::Length;
use serde_json::{Value, json};
use std::path::PathBuf;
use std::sync::Arc;

/// Peak voltage and energy at every place of the lines, dry, damp, wet or frozen.
#[derive(Args)]
#[command(after_help = "Example:\n  hillwire power my-farm.plan.geojson --ground wet --fault north@120")]
pub struct Options {
    #[command(flatten)]
    plan: PlanOptions,
    /// State of the ground, instead of wet
    #[arg(long, value_enum, value_name = "STATE", default_value = "wet")]
    ground: State,
    /// Something that touches a line at a station: LINE@METRES, or LINE@METRES:OHM (500 ohm without it)
    #[arg(long, value_name = "LINE@STATION")]
    fault: Option<String>,
    /// Try what would bring more to the far end, what each change costs, and what growth and leaf-fall would take
    #[arg(long)]
    what_helps: bool,
    /// Write every place as a table for spreadsheets
    #[arg(long, value_name = "F.csv")]
    csv: Option<PathBuf>,
    #[command(flatten)]
    writing: Writing,
}

/// A state of the ground.
#[derive(Clone, Copy, ValueEnum)]
pub(super) enum State {
    Dry,
    Damp,
    Wet,
    Frozen,
}

impl From<State> for GroundState {
    fn from(state: State) -> Self {
        match state {
            State::Dry => Self::Dry,
            State::Damp => Self::Damp,
            State::Wet => Self::Wet,
            State::Frozen => Self::Frozen,
        }
    }
}

/// Resistance of a fault that does not say, ohm: an animal, a wet branch.
const USUAL_FAULT_OHM: f64 = 500.0;

/// Prints what arrives.
///
/// # Errors
/// When a file cannot be used, the plan has no energizer on its lines, or the fault stands on no line.
pub fn power(options: &Options, job: &Job) -> Result<Answer, Stop> {
    let outputs = Outputs::new(options.writing).file(options.csv.as_ref(), CSV);
    let opened = options.plan.open_to_write(&outputs, None, job)?;
    let power = match &options.fault {
        Some(fault) => Arc::new(with_fault(&opened, fault)?),
        None => Arc::clone(&opened.outcome.power),
    };
    let state = GroundState::from(options.ground);
    let Some(arrived) = power.state(state) else { return Err(undriven(options, &opened.file.plan, &power)) };
    let mut told = Told { opened: &opened, power: &power, arrived, helps: Vec::new(), grown: Vec::new() };
    if options.what_helps {
        let (plan, ground) = (&opened.file.plan, opened.ground.as_deref());
        told.helps = what_helps(plan, ground, &opened.outcome, opened.catalogue());
        told.grown = grown(plan, ground, opened.catalogue());
    }
    let mut answer = if options.plan.json { Answer::json(&told.as_json()) } else { Answer::text(told.as_text()) };
    if let Some(path) = &options.csv {
        answer.outputs.push(Waiting::of_bytes(path, &told.as_csv())?);
    }
    answer.notes = opened.notes;
    Ok(answer)
}

fn undriven(options: &Options, plan: &Plan, power: &Power) -> Stop {
    Stop::unusable(format!("{}: {}", options.plan.plan.display(), words::undriven(&power.wiring, plan)))
}

fn with_fault(opened: &Opened, said: &str) -> Result<Power, Stop> {
    let wrong = |why: &str| Stop::unusable(format!("--fault {}: {why}; write it as LINE@METRES or LINE@METRES:OHM", shown(said)));
    let (line, rest) = said.rsplit_once('@').ok_or_else(|| wrong("no @ in it"))?;
    let (metres, ohm) = rest.split_once(':').map_or((rest, None), |(metres, ohm)| (metres, Some(ohm)));
    let typed = metres;
    let metres: Option<f64> = typed.parse().ok().filter(|metres: &f64| metres.is_finite());
    let metres = metres.ok_or_else(|| wrong(&format!("{:?} is no number of metres", shown(typed))))?;
    let ohm = match ohm {
        None => USUAL_FAULT_OHM,
        Some(text) => text
            .parse()
            .ok()
            .filter(|ohm: &f64| *ohm > 0.0 && ohm.is_finite())
            .ok_or_else(|| wrong(&format!("{:?} is no resistance above 0 ohm", shown(text))))?,
    };
    let lines = &opened.outcome.lines;
    let Some(known) = lines.iter().find(|known| known.id.as_str() == line) else {
        let ids: Vec<&str> = lines.iter().map(|line| line.id.as_str()).collect();
        return Err(wrong(&format!("the plan has no line {:?}; its lines are {}", shown(line), beginning_of_list(&ids))));
    };
    let station = Length::metres(metres);
    let wiring = opened.outcome.power.wiring.with_contact(&known.id, station, ohm);
    let whole_m = known.measure.ground_length.as_metres();
    let wiring = wiring
        .ok_or_else(|| wrong(&format!("line {:?} has no wire at {} m; it is {whole_m:.1} m long", shown(line), shown(typed))))?;
    Ok(Power::of(Arc::new(wiring), &Laid::default()))
}

/// What is told, and of what.
struct Told<'a> {
    opened: &'a Opened,
    power: &'a Power,
    arrived: &'a StatePower,
    helps: Vec<WhatHelps>,
    grown: Vec<Grown>,
}

impl Told<'_> {
    fn places(&self) -> impl Iterator<Item = (&Station, Option<Arrived>)> {
        self.power.wiring.stations.iter().zip(self.arrived.stations.iter().copied())
    }

    fn as_json(&self) -> Value {
        let far_end = self.power.far_end(self.arrived.state).map(|far| {
            json!({
                "line": far.station.line.as_str(),
                "station_m": number(far.station.station.as_metres()),
                "at": self.opened.place(far.station.at),
                "peak_kv": number(far.arrived.open_v / 1e3),
                "loaded_500_kv": number(far.arrived.loaded_v / 1e3),
            })
        });
        let stations: Vec<Value> = self.places().map(|(station, arrived)| self.station_json(station, arrived)).collect();
        let mut energizers =
            self.power.wiring.energizers.iter().enumerate().map(|(index, unit)| self.energizer_json(index, unit));
        let first = energizers.next().unwrap_or_default();
        json!({
            "ground": words::ground_state(self.arrived.state),
            "energizer": first["energizer"],
            "earth": first["earth"],
            "further_energizers": energizers.collect::<Vec<_>>(),
            "far_end": far_end,
            "stations": stations,
            "what_helps": self.helps.iter().map(|help| self.help_json(help)).collect::<Vec<_>>(),
            "growth": self.grown.iter().map(grown_json).collect::<Vec<_>>(),
        })
    }

    fn energizer_json(&self, index: usize, unit: &WiredEnergizer) -> Value {
        let driven = self.arrived.energizers[index];
        let limits = self.power.limits[index];
        let state = state_index(self.arrived.state);
        json!({
            "energizer": {
                "id": unit.id.as_str(),
                "peak_kv": maybe(driven.map(|driven| driven.terminal_v / 1e3)),
                "output_j": maybe(limits.map(|limits| limits.energy_j)),
                "current_a": maybe(driven.map(|driven| driven.current_a)),
                "given_j": maybe(driven.map(|driven| driven.given_j)),
                "duration_us": maybe(limits.map(|limits| limits.duration_s * 1e6)),
                "within_standard": limits.map(|limits| limits.kept()),
            },
            "earth": {
                "id": unit.earth.id.as_ref().map(FeatureId::as_str),
                "rods": unit.earth.rods.count,
                "ohm": number(unit.earth.ohm[state]),
                "kv": maybe(driven.map(|driven| driven.earth_v / 1e3)),
                "shorted_kv": maybe(driven.map(|driven| driven.shorted_v / 1e3)),
            },
        })
    }

    fn station_json(&self, station: &Station, arrived: Option<Arrived>) -> Value {
        json!({
            "line": station.line.as_str(),
            "station_m": number(station.station.as_metres()),
            "at": self.opened.place(station.at),
            "peak_kv": maybe(arrived.map(|arrived| arrived.open_v / 1e3)),
            "loaded_500_kv": maybe(arrived.map(|arrived| arrived.loaded_v / 1e3)),
            "energy_500_j": maybe(arrived.map(|arrived| arrived.loaded_j)),
            "animal_kv": maybe(arrived.and_then(|arrived| arrived.animal_v).map(|volt| volt / 1e3)),
        })
    }

    fn help_json(&self, help: &WhatHelps) -> Value {
        json!({
            "what": words::bite::change(&help.change, &self.opened.file.plan, self.opened.catalogue()),
            "ground": help.brings.state,
            "gain_500_kv": number(help.gain_v / 1e3),
            "loaded_500_kv": number(help.brings.loaded_v / 1e3),
            "peak_kv": number(help.brings.open_v / 1e3),
            "price": if help.is_priced() { number(help.price) } else { Value::Null },
            "parts": help.parts.iter().map(|(id, amount)| json!({ "id": id, "net": number(*amount) })).collect::<Vec<_>>(),
        })
    }

    fn helps_table(&self) -> String {
        let columns = [
            ("What would help", Side::Left),
            ("More over 500 Ω", Side::Right),
            ("Then", Side::Right),
            ("Meter reads", Side::Right),
            ("Costs", Side::Right),
        ];
        let currency = &self.opened.file.plan.head.prices.currency;
        let rows = self.helps.iter().map(|help| {
            vec![
                words::bite::change(&help.change, &self.opened.file.plan, self.opened.catalogue()),
                words::voltage(help.gain_v),
                words::voltage(help.brings.loaded_v),
                words::voltage(help.brings.open_v),
                words::bite::costs(help, currency),
            ]
        });
        table(&columns, &rows.collect::<Vec<_>>())
    }

    fn growth_table(&self) -> String {
        let states = STATES.map(|state| (words::ground_state(state), Side::Right));
        let columns: Vec<(&str, Side)> = std::iter::once(("Far end over 500 Ω", Side::Left)).chain(states).collect();
        let rows = self.grown.iter().map(|grown| {
            let volts = grown.loaded_v.iter().map(|volt| volt.map_or_else(|| "not fed".to_owned(), words::voltage));
            std::iter::once(words::grows(grown.vegetation).to_owned()).chain(volts).collect()
        });
        table(&columns, &rows.collect::<Vec<_>>())
    }

    fn as_text(&self) -> String {
        let mut text = String::new();
        for (index, unit) in self.power.wiring.energizers.iter().enumerate() {
            text.push_str(&paragraph(
                "",
                &words::driven(unit, &self.opened.file.plan, self.arrived.energizers[index], self.arrived.state),
                0,
            ));
            text.extend(self.arrived.energizers[index].map(|driven| paragraph("", &words::earth_test(&driven), 0)));
        }
        text.extend(self.far_end_in(self.arrived.state));
        text.extend(self.weaker_state().and_then(|state| self.far_end_in(state)));
        text.push('\n');
        text.push_str(&self.lines_table());
        text.push('\n');
        if !self.helps.is_empty() {
            text.push_str(&self.helps_table());
            if self.power.nothing_reaches() {
                text.push_str(&paragraph("", words::bite::NOTHING_REACHES, 0));
            }
            text.push('\n');
        }
        if !self.grown.is_empty() {
            text.push_str(&self.growth_table());
            text.push('\n');
        }
        text.push_str(&paragraph("", words::POWER_CAUTION, 0));
        text + &cautions(Place::PowerCommand)
    }

    fn far_end_in(&self, state: GroundState) -> Option<String> {
        let far = self.power.far_end(state)?;
        let name = self.opened.file.plan.feature(&far.station.line).map_or("", |feature| feature.label());
        Some(paragraph("", &words::far_end(&far, state, name, self.opened.units), 0))
    }

    /// Another state of the ground in which noticeably less arrives.
    fn weaker_state(&self) -> Option<GroundState> {
        let least_v = |state| self.power.far_end(state).map(|far| far.arrived.loaded_v);
        let weakest = self.power.weakest_state(own_state(&self.opened.file.plan))?;
        (least_v(weakest)? < least_v(self.arrived.state)? * (1.0 - NOTICED)).then_some(weakest)
    }

    /// For each line where least arrives, in the state that was asked for, and that least in the others.
    fn lines_table(&self) -> String {
        let columns = [
            ("Line", Side::Left),
            ("Name", Side::Left),
            ("Least at", Side::Right),
            ("Meter reads", Side::Right),
            ("Over 500 Ω", Side::Right),
            ("Energy", Side::Right),
            ("Animal gets", Side::Right),
        ];
        let mut rows: Vec<Vec<String>> = Vec::new();
        for line in &self.opened.outcome.lines {
            let here = self.places().filter(|(station, _)| station.line == line.id);
            let fed = here.filter_map(|(station, arrived)| Some((station, arrived?)));
            let least = fed.min_by(|one, other| one.1.loaded_v.total_cmp(&other.1.loaded_v));
            let mut row = vec![line.id.to_string(), self.opened.name(&line.id)];
            match least {
                None => row.extend(["not fed".to_owned(), String::new(), String::new(), String::new(), String::new()]),
                Some((station, arrived)) => row.extend([
                    words::length(station.station, self.opened.units),
                    words::voltage(arrived.open_v),
                    words::voltage(arrived.loaded_v),
                    words::energy(arrived.loaded_j),
                    arrived.animal_v.map(words::voltage).unwrap_or_default(),
                ]),
            }
            rows.push(row);
        }
        table(&columns, &rows)
    }

    fn as_csv(&self) -> Vec<u8> {
        let field = |value: Option<f64>| value.map(|value| format!("{value:.4}")).unwrap_or_default();
        let heading =
            ["line", "station_m", "lon_deg", "lat_deg", "ground", "peak_kv", "loaded_500_kv", "energy_500_j", "animal_kv"];
        let rows = self.places().map(|(station, arrived)| {
            let at = self.opened.frame.to_position(station.at);
            [
                station.line.to_string(),
                format!("{:.2}", station.station.as_metres()),
                format!("{:.9}", at.lon_deg()),
                format!("{:.9}", at.lat_deg()),
                words::ground_state(self.arrived.state).to_owned(),
                field(arrived.map(|arrived| arrived.open_v / 1e3)),
                field(arrived.map(|arrived| arrived.loaded_v / 1e3)),
                field(arrived.map(|arrived| arrived.loaded_j)),
                field(arrived.and_then(|arrived| arrived.animal_v).map(|volt| volt / 1e3)),
            ]
        });
        let mut table = CsvTable::new(heading);
        rows.for_each(|row| table.row(row));
        table.into_bytes()
    }
}

fn grown_json(grown: &Grown) -> Value {
    let volts = STATES.iter().zip(grown.loaded_v).map(|(state, volt)| {
        let kilovolts = maybe(volt.map(|volt| volt / 1e3));
        (words::ground_state(*state).to_owned(), kilovolts)
    });
    json!({ "vegetation": grown.vegetation, "loaded_500_kv": volts.collect::<serde_json::Map<_, _>>() })
}
