//! Reading a program of a million lines, against parsing nothing but its numbers with the standard library.

#![expect(clippy::expect_used, reason = "a benchmark may fail")]

use std::fmt::Write as _;
use std::hint::black_box;

use blockwright_core::program::{Settings, read};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};

/// Lines of the program: about 40 MB.
const LINES: u32 = 1_000_000;

/// A surface in short moves, as planners post them: sequence numbers, four decimals, an arc and a feed now and then.
fn program() -> String {
    let mut text = String::from("%\nO1001\nG17 G20 G40 G90 G94\nS4000 M3\nG0 X0. Y0. Z1.\nG1 Z0. F20.\n");
    for line in 0..LINES {
        let along = f64::from(line) * 0.0013;
        let (x, y, z) = (along % 7.0, (along / 7.0).floor() * 0.01, -0.3 + 0.2 * (along * 0.9).sin());
        let n = line % 99_999 + 1;
        // writing into a string cannot fail
        let _ = match line % 50 {
            49 => writeln!(text, "N{n} G2 X{:.4} Y{y:.4} Z{z:.4} I0.0100 J0.0000", x + 0.02),
            25 => writeln!(text, "N{n} G1 X{x:.4} Y{y:.4} Z{z:.4} F{:.2}", 20.0 + z),
            _ => writeln!(text, "N{n} G1 X{x:.4} Y{y:.4} Z{z:.4}"),
        };
    }
    text.push_str("M30\n%\n");
    text
}

/// The sum of all numbers of the text, each parsed by the standard library.
fn numbers(text: &str) -> f64 {
    let part_of_number = |byte: &u8| byte.is_ascii_digit() || matches!(byte, b'.' | b'-');
    let bytes = text.as_bytes();
    let (mut at, mut sum) = (0, 0.0);
    while at < bytes.len() {
        let length = bytes[at..].iter().take_while(|byte| part_of_number(byte)).count();
        if length > 0 {
            sum += text[at..at + length].parse::<f64>().unwrap_or(0.0);
        }
        at += length.max(1);
    }
    sum
}

fn reading(criterion: &mut Criterion) {
    let text = program();
    let mut group = criterion.benchmark_group("reading");
    group.sample_size(10).throughput(Throughput::Bytes(text.len() as u64));
    group.bench_function("numbers by the standard library", |bencher| {
        bencher.iter(|| numbers(black_box(&text)));
    });
    let (settings, cancel) = (Settings::new(Units::Inch), Cancel::new());
    group.bench_function("the whole program", |bencher| {
        bencher.iter(|| {
            read(black_box(text.as_bytes()), &settings, Task::quiet(&cancel)).expect("nobody cancels")
        });
    });
    group.finish();
}

criterion_group!(benches, reading);
criterion_main!(benches);
