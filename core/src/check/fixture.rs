//! Small grounds and lines for the tests of the rules.
