//! Whole plans through the commands: exit status, JSON keys, one clear message, nothing written that should not be.

#![cfg(test)]

mod bad_input;
mod cautions;
mod check;
mod compare;
mod desk;
mod door;
mod import;
mod large;
mod locate;
mod log;
mod measure;
mod mend;
mod order;
mod order_book;
mod others;
mod power;
mod readme;
mod recover;
mod reroute;
mod round;
mod schemas;
mod secrets;
mod section;
mod share;
mod survey;
