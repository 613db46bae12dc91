//! The window's own session, without a window, is killed at any moment, again and again: what it said to be on the disk is there the next time.
//!
//! This test runs itself as the program that is killed. `HILLWIRE_KILLS` says how often; a hundred times without it.

use hillwire::app::Window;
use hillwire::command::{Act, Command};
use hillwire::keeping::KeepAsk;
use hillwire::worker::Pace;
use hillwire_core::land::Position;
use hillwire_core::plan::{Edit, Feature, FeatureId, Geometry, Gesture, Head, Kind, Plan, write_plan};
use std::collections::HashSet;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::{Duration, Instant};

/// Names the folder to the program that is killed, with where its dice begin.
const FOLDER: &str = "HILLWIRE_KILLED_IN";
const DICE: &str = "HILLWIRE_KILLED_DICE";

/// How many marks a plan of the test has.
const MARKS: u64 = 5;

fn plan_file(folder: &Path) -> PathBuf {
    folder.join("farm.plan.geojson")
}

fn mark(step: u64) -> Feature {
    let at = Position::from_degrees(1.0 + step as f64 * 1e-6, 50.0);
    Feature::new(FeatureId::new(&format!("mark-{step}")), Kind::Mark, Geometry::Point(at))
}

fn plan_at(step: u64) -> Plan {
    let head = Head { name: step.to_string(), ..Head::default() };
    Plan::new(head, (step.saturating_sub(MARKS - 1)..=step).map(mark).collect())
}

/// The step that a plan stands at; none when it is not whole.
fn step_of(plan: &Plan) -> Option<u64> {
    let step = plan.head.name.parse().ok()?;
    (write_plan(plan) == write_plan(&plan_at(step))).then_some(step)
}

/// A plain sequence of numbers: which one it is does not matter, only that it can be run again.
struct Dice(u64);

impl Dice {
    fn below(&mut self, sides: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % sides
    }
}

/// The program that is killed.
struct Killed {
    window: Window,
    ctx: egui::Context,
    file: PathBuf,
    next: u64,
}

impl Killed {
    fn say(&self, word: &str, number: u64) {
        let mut out = std::io::stdout().lock();
        writeln!(out, "{word} {number}").and_then(|()| out.flush()).expect("somebody listens");
    }

    fn step(&self) -> u64 {
        step_of(self.window.session.plan()).expect("the plan is whole")
    }

    fn turn_until(&mut self, mut commands: Vec<Command>, is_done: impl Fn(&Window) -> bool) {
        let began = Instant::now();
        loop {
            self.window.turn(std::mem::take(&mut commands), &self.ctx);
            if is_done(&self.window) {
                return;
            }
            assert!(began.elapsed() < Duration::from_secs(30), "it does not come to an end: {:?}", self.window.session.notices);
            std::thread::sleep(Duration::from_micros(300));
        }
    }

    fn open(&mut self) {
        let before = self.window.session.opened;
        let open = vec![Command::OpenPath(self.file.clone())];
        self.turn_until(open, |window| window.session.opened > before);
    }

    /// Edits once, and says so once it is on the disk.
    fn edit(&mut self, waits: bool) {
        let step = self.next;
        self.next += 1;
        self.say("try", step);
        let edit = Edit::Replace(Box::new(plan_at(step)));
        let asked = Instant::now();
        self.window.turn(vec![Command::Change(Gesture::ChangedPlan, vec![edit])], &self.ctx);
        if waits {
            self.turn_until(Vec::new(), Window::is_journalled);
            self.say("took_us", asked.elapsed().as_micros() as u64);
            self.say("ack", self.step());
        }
    }

    fn undo(&mut self) {
        if let Some(before) = self.window.session.history.next_undo().is_some().then(|| self.step()) {
            // Where that leads is known only once it is done: any earlier step.
            self.say("undo", before);
            self.turn_until(vec![Command::Act(Act::Undo)], Window::is_journalled);
            self.say("ack", self.step());
        }
    }

    fn save(&mut self) {
        self.turn_until(vec![Command::Act(Act::Save)], |window| !window.session.is_unsaved());
        self.say("ack", self.step());
    }
}

#[test]
fn the_program_that_is_killed() {
    let Some(folder) = std::env::var_os(FOLDER).map(PathBuf::from) else { return };
    let dice = std::env::var(DICE).ok().and_then(|dice| dice.parse().ok()).unwrap_or_default();
    let ctx = egui::Context::default();
    let window = Window::keeping_in(Some(folder.join("data")), &ctx, Pace::Beside, Vec::new());
    let mut killed = Killed { window, ctx, file: plan_file(&folder), next: 0 };
    let mut dice = Dice(dice);
    killed.open();
    if killed.window.session.keeping.left_over.is_some() {
        let bring_back = vec![Command::Keep(KeepAsk::BringBack)];
        killed.turn_until(bring_back, |window| window.session.keeping.left_over.is_none() && window.is_journalled());
    }
    killed.say("ack", killed.step());
    // Steps are never used twice, so that an old one is not taken for a new one.
    killed.next = std::env::var("HILLWIRE_KILLED_NEXT").ok().and_then(|next| next.parse().ok()).expect("a number");
    loop {
        match dice.below(10) {
            0..4 => killed.edit(true),
            4..6 => (0..dice.below(4)).for_each(|_| killed.edit(false)),
            6 => killed.undo(),
            7 => killed.save(),
            8 => {
                killed.edit(false);
                killed.save();
            }
            _ if !killed.window.session.is_unsaved() => {
                killed.open();
                killed.say("ack", killed.step());
            }
            _ => {}
        }
    }
}

/// What the program said before it was killed.
#[derive(Default)]
struct Said {
    acknowledged: Option<u64>,
    /// What may have come to the disk since.
    tried: HashSet<u64>,
    undoing: bool,
    highest: u64,
    took_us: Vec<u64>,
}

impl Said {
    fn hear(&mut self, line: &str) {
        let Some((word, number)) = line.split_once(' ').and_then(|(word, number)| Some((word, number.parse().ok()?))) else {
            return;
        };
        match word {
            "ack" => (self.acknowledged, self.undoing) = (Some(number), false),
            "try" => {
                self.highest = self.highest.max(number);
                self.tried.insert(number);
            }
            "undo" => self.undoing = true,
            "took_us" => self.took_us.push(number),
            _ => return,
        }
        if word == "ack" {
            self.tried.clear();
        }
    }
}

fn run_and_kill(folder: &Path, round: u64, next: u64, dice: &mut Dice) -> Said {
    let program = std::env::current_exe().expect("this test is a program");
    let mut child = std::process::Command::new(program)
        .args(["the_program_that_is_killed", "--exact", "--nocapture", "--test-threads=1"])
        .env(FOLDER, folder)
        .env(DICE, (round * 7919 + 1).to_string())
        .env("HILLWIRE_KILLED_NEXT", next.to_string())
        .env("HOME", folder)
        .env("XDG_CONFIG_HOME", folder.join("config"))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("started");
    let mut lines = BufReader::new(child.stdout.take().expect("piped")).lines();
    let mut said = Said::default();
    let mut first = None;
    // Until it has opened its plan nothing new can be lost: most are killed after that, some before.
    let early = dice.below(8) == 0;
    let after = Duration::from_micros(dice.below(if early { 20_000 } else { 120_000 }));
    if !early {
        for line in lines.by_ref().map_while(Result::ok) {
            said.hear(&line);
            if said.acknowledged.is_some() {
                first = Some(());
                break;
            }
        }
    }
    if !early && first.is_none() {
        let output = child.wait_with_output().expect("it has ended");
        panic!("round {round}: the program ended by itself: {}", String::from_utf8_lossy(&output.stderr));
    }
    std::thread::sleep(after);
    child.kill().expect("killed");
    for line in lines.map_while(Result::ok) {
        said.hear(&line);
    }
    let output = child.wait_with_output().expect("it has ended");
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(!errors.contains("panicked"), "round {round}: {errors}");
    said
}

/// What a window offers when it opens the plan the next time.
fn found_again(folder: &Path) -> Option<u64> {
    let ctx = egui::Context::default();
    let mut window = Window::keeping_in(Some(folder.join("data")), &ctx, Pace::AtOnce, Vec::new());
    window.turn(vec![Command::OpenPath(plan_file(folder))], &ctx);
    window.turn(Vec::new(), &ctx);
    assert!(window.session.home.look_only.is_none(), "the lock of a killed program blocks nobody");
    let left = window.session.keeping.left_over.as_ref().map(|left| &left.plan);
    step_of(left.unwrap_or_else(|| window.session.plan()))
}

#[test]
fn what_was_on_the_disk_is_there_again_however_often_the_program_is_killed() {
    let kills = std::env::var("HILLWIRE_KILLS").ok().and_then(|kills| kills.parse().ok()).unwrap_or(100_u64);
    let folder = tempfile::tempdir().expect("a folder");
    let folder = folder.path();
    std::fs::create_dir_all(folder.join("data")).expect("made");
    std::fs::write(plan_file(folder), write_plan(&plan_at(MARKS))).expect("written");
    let (mut next, mut stands_at, mut dice, mut took_us, mut edits) = (MARKS + 1, MARKS, Dice(kills), Vec::new(), 0);
    for round in 0..kills {
        let said = run_and_kill(folder, round, next, &mut dice);
        next = next.max(said.highest + 1);
        let acknowledged = said.acknowledged.unwrap_or(stands_at);
        let found = found_again(folder).unwrap_or_else(|| panic!("round {round}: what came back is not whole"));
        let is_right = found == acknowledged || said.tried.contains(&found) || said.undoing && found < next;
        assert!(is_right, "round {round}: {acknowledged} was on the disk, {found} came back; tried since {:?}", said.tried);
        edits += said.took_us.len();
        took_us.extend(said.took_us);
        stands_at = found;
    }
    took_us.sort_unstable();
    let share = |of: f64| took_us.get(((took_us.len() as f64 - 1.0) * of) as usize).map_or(0.0, |us| *us as f64 / 1000.0);
    let text = format!(
        "{kills} kills, {edits} edits acknowledged, none lost. From the end of a gesture to the disk: median {:.1} ms, 99 of 100 within {:.1} ms, longest {:.1} ms\n",
        share(0.5),
        share(0.99),
        share(1.0)
    );
    std::io::stdout().write_all(text.as_bytes()).expect("said");
}
