//! Whole plans through the commands: exit status, JSON keys, one clear message, nothing written that should not be.

#![cfg(test)]

mod bad_input;
mod check;
mod desk;
mod measure;
mod mend;
mod order;
mod section;
mod share;
mod survey;
