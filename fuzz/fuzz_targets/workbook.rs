#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| pullrank_fuzz::feed("workbook", bytes));
