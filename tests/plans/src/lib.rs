//! Whole plans through the commands: exit status, JSON keys, one clear message, nothing written that should not be.

#![cfg(test)]

mod desk;
mod survey;
