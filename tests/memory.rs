//! The memory of answers against values from outside and against its own promises.

mod deadline;
mod published;
