//! All integration tests, in one program: it links once.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(dead_code, reason = "each test takes what it needs of what they share")]

mod agreement;
mod also;
mod audit;
mod bad_input;
mod bench_files;
mod care;
mod change;
mod commands;
mod declared;
mod facts;
mod fits;
mod free_text;
mod grammar;
mod help_examples;
mod import_folder;
mod index_damage;
mod index_edits;
mod lists;
mod on_a_copy;
mod oracle;
mod order_optimum;
mod order_plan;
mod order_printed;
mod order_shelf;
mod outside_opinion;
mod own_catalog;
mod parcels;
mod read_only;
mod record;
mod rename;
mod rest;
mod rules;
mod searches;
mod second_look;
mod share;
mod sheet;
mod sizes_as_typed;
mod state;
mod story;
mod terminal;
mod typed_cells;
mod undo;
mod unread;
mod work_agreement;
mod workshop;
