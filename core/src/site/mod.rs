//! The holding as it lies: the ground with what the plan says stands, grows and runs on it.
//!
//! `land` knows grids alone. Here they meet zones, tracks and streams of the plan: what water does, what runs down, what can be
//! reached and what can be seen. Nothing of it depends on where a fence runs, so it stands while fences are moved.
