//! The invented demo data: as its generators write it, and what is read back from it.

mod menus;
mod pulls;

#[path = "../../examples/make_demo_pulls.rs"]
#[allow(dead_code, reason = "its main is not called here")]
mod make_demo_pulls;
