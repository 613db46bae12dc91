//! Every name, number and sentence as people read it, made from values. The window and the commands say the same.

pub mod bite;
pub mod cautions;
mod changed;
mod compared;
mod courses;
mod findings;
mod grids;
mod held;
pub mod keeping;
mod kept;
mod lay;
mod loads;
pub mod log;
mod mends;
mod names;
mod notes;
mod numbers;
mod order;
mod picture;
mod power;
mod pulse;
mod reach;
pub mod round;
mod round_sheet;
mod rows;
mod rules;
mod section;
mod sheets;
mod stock;
mod strike;
mod window;

pub use changed::last_changed;
pub use compared::{EVEN_AT, compared, compared_by, compared_in_all, compared_in_short, compared_what, even_at, owning_what};
pub use courses::{BARRED, COURSE_LIMITS, aim, aims, course, more_to_fix, no_course, stands, term};
pub use findings::{does, says, source, weight};
pub use held::{UNDO_BRINGS_BACK, grade, guessed_because, hanging, purpose};
pub use kept::{
    CHANGES_WAIT, GOES_WITH_IT, NOTHING_KEEPS_THEM, broke, changes, changes_since, journal_back, journal_elsewhere, journal_gone,
    journal_nowhere, journal_unreadable, journals_in_use, kept_journal, no_such_journal, not_discarded, saved_after,
    these_changes,
};
pub use lay::{NEEDS_FINE_GRID, RUNNER_LIMITS, strikes_a_year, strikes_seen};
pub use mends::{ends_and_brings, shared, trial};
pub use names::{GROUND_STATES, VEGETATION, group, grows, item, kind, plural_kind, role, wire_in_short, zone, zone_means};
pub use notes::{grid_note, plan_notes, unusable_row};
pub use numbers::{
    angle, area, count, elevation, force, gap, length, mass, moment, money, money_short, number_with, off_the_grid, percent,
    set_length, share, speed, temperature,
};
pub use order::{
    comes_in, count_rule, hours, item_amount, mismatch, pegs_for_walk, pegs_in, taken_at, task, terrain, what_if, work_amount,
};
pub use picture::{course_lengths, section_picture};
pub use power::{
    POWER_CAUTION, current, driven, earth_test, energy, far_end, ground_state, pulse_time, resistance, undriven, voltage,
    within_standard,
};
pub use pulse::{BREAK_OF_ONE, CROSSINGS, DIRECTIONS, FAULTS, MEASURED, SWITCH, figures, pulse_fact, sentence};
pub use reach::{hindrance, longest_walk, on_foot, reach_class, reach_class_means, track_at, track_in_short};
pub use round_sheet::round_table;
pub use rows::{CatalogueRow, catalogue_rows, small_mass, source_in_full};
pub use rules::{RULES, rule, rule_word};
pub use section::{Cells, cells_under, on_walk, pegs_on_walk, section_notes, tree, trust_in};
pub use sheets::{EXTRAS, FORMS, gets, map_words, order_table, page_words, recipient, recipient_sees};
pub use stock::{day, day_of_year, days, feed, hang, head_on_ground, held_days, species, typed_day, water};
pub use window::{
    WORKING_OUT, amount, gesture, grid_trust, place, post_count, posts_and_pegs, posts_with_role, standing_at, to_buy, why,
};
