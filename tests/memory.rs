//! The memory of answers against values from outside and against its own promises.

mod calendar;
mod deadline;
mod month;
mod published;
