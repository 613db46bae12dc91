//! What is true about a fence plan: the land it stands on, where its lines run, whether they will hold, what to buy.
//!
//! No window, no opened files, no clock, no environment: bytes come in, values and bytes go out. Data flow one way:
//! land + plan + catalogue -> stock, hold -> check, order -> outcome -> whoever asked (the window, a command, a shared file).

pub mod bounds;
pub mod catalogue;
pub mod check;
pub mod compare;
pub mod finding;
pub mod hold;
pub mod job;
pub mod land;
pub mod log;
pub mod mend;
pub mod order;
pub mod outcome;
pub mod plan;
pub mod power;
pub mod reroute;
pub mod round;
pub mod share;
pub mod site;
pub mod source;
pub mod stock;
pub mod units;
