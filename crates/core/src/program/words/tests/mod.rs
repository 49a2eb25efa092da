//! Lines as a whole: what is read of them, and where a fault is.

mod expressions;
mod random;

use super::*;
use crate::limits::PROGRAM_LINE;

const PLAIN: Dialect = Dialect { semicolon_comments: false };
const SEMICOLONS: Dialect = Dialect { semicolon_comments: true };

fn read_with(line: &[u8], parameters: &Parameters, dialect: Dialect) -> Words {
    let mut words = Words::default();
    words.read(line, parameters, dialect);
    words
}

fn read(line: impl AsRef<[u8]>) -> Words {
    read_with(line.as_ref(), &Parameters::default(), PLAIN)
}

/// The letters and numbers of a line without fault.
fn values(line: &str) -> Vec<(char, f64)> {
    let words = read(line);
    assert!(words.problems.is_empty(), "{line}: {:?}", words.problems);
    words.found.iter().map(|word| (char::from(word.letter), word.value)).collect()
}

/// Every fault of a line with the text it is told of.
fn faults(line: &[u8]) -> Vec<(Fault, String)> {
    let told = |span: Span| String::from_utf8_lossy(span.of(line)).into_owned();
    read(line).problems.iter().map(|problem| (problem.fault, told(problem.span))).collect()
}

#[test]
fn numbers_in_every_form() {
    for (text, value) in [
        ("X.5", 0.5),
        ("X5.", 5.0),
        ("x-0.", 0.0),
        ("X+1", 1.0),
        ("X-.25", -0.25),
        ("X 1 2 . 5\t0", 12.5),
        ("X0001", 1.0),
        ("X-1.2345", -1.2345),
        ("X123456.7890123", 123_456.789_012_3),
        ("X0.1234567890123456789", 0.123_456_789_012_345_68),
        ("X0.00000000000000000000000001", 1e-26),
    ] {
        assert_eq!(values(text), [('X', value)], "{text}");
    }
    assert!(read("X-0.").found[0].value.is_sign_positive());
}

#[test]
fn blanks_and_case_do_not_matter() {
    // NISTIR 6556 section 3.3, published.
    assert_eq!(values("g0x +0. 12 34y 7"), values("g0 x+0.1234 y7"));
    assert_eq!(values("g0x +0. 12 34y 7"), [('G', 0.0), ('X', 0.1234), ('Y', 7.0)]);
    assert_eq!(values(" \t"), []);
    assert_eq!(values(""), []);
}

#[test]
fn the_order_on_a_line_does_not_matter() {
    // NISTIR 6556 section 3.3, published: the same in all 120 orders.
    let parts = ["g40", "g1", "#3=15", "(foo)", "#4=-7.0"];
    let mut orders = 0;
    for order in 0..3125_usize {
        let places: Vec<usize> = (0..5).map(|i| order / 5_usize.pow(i) % 5).collect();
        if (0..5).any(|i| !places.contains(&i)) {
            continue;
        }
        orders += 1;
        let line = places.iter().map(|&i| parts[i]).collect::<Vec<_>>().join(" ");
        let words = read(&line);
        let mut numbers: Vec<f64> = words.found.iter().map(|word| word.value).collect();
        numbers.sort_by(f64::total_cmp);
        let mut settings: Vec<_> = words.settings.iter().map(|set| (set.index, set.value)).collect();
        settings.sort_by_key(|set| set.0);
        assert_eq!((numbers, settings), (vec![1.0, 40.0], vec![(3, 15.0), (4, -7.0)]), "{line}");
        assert_eq!(words.comment.map(|span| span.of(line.as_bytes())), Some(&b"foo"[..]));
        assert!(words.problems.is_empty());
    }
    assert_eq!(orders, 120);
}

#[test]
fn a_word_knows_its_point_and_its_place() {
    let words = read("N1 g 1 . 0 X5\tY5. (c) Z[1]");
    let found: Vec<_> =
        words.found.iter().map(|word| (word.letter, word.point, word.span.from, word.span.to)).collect();
    let expected = [
        (b'N', false, 0, 2),
        (b'G', true, 3, 10),
        (b'X', false, 11, 13),
        (b'Y', true, 14, 17),
        (b'Z', true, 22, 26),
    ];
    assert_eq!(found, expected);
}

#[test]
fn comments_and_marks_are_no_words() {
    let line = "G1(go X9 \u{e9})Y2(there)";
    assert_eq!(values(line), [('G', 1.0), ('Y', 2.0)]);
    // NISTIR 6556 section 3.3, published: only the last comment counts.
    assert_eq!(read(line).comment.map(|span| span.of(line.as_bytes())), Some(&b"there"[..]));
    assert_eq!(read("G1()").comment, Some(Span::new(3, 3)));
    let slash = read(" /G0");
    assert!(slash.deletable && !slash.mark && slash.found.len() == 1);
    let mark = read("\t%");
    assert!(mark.mark && !mark.deletable && mark.found.is_empty());
}

#[test]
fn a_semicolon_is_a_comment_only_where_the_control_says_so() {
    let line = b"G1 X2 ; not (Y3";
    let words = read_with(line, &Parameters::default(), SEMICOLONS);
    assert!(words.problems.is_empty());
    assert_eq!((words.found.len(), words.comment), (2, Some(Span::new(7, 15))));
    assert_eq!(faults(line), [(Fault::Stray, "; not (Y3".to_owned())]);
    assert_eq!(read(line).found.len(), 2);
}

#[test]
fn what_is_no_number_is_told_with_its_place() {
    for bad in ["X1.2.3", "X--1", "X1-", "X+-2", "X.", "X-", "X1.-2", "X 1 2 . 3 .", "X-."] {
        assert_eq!(faults(format!("G1 {bad} Y1").as_bytes()), [(Fault::Number, bad.to_owned())], "{bad}");
        assert_eq!(values("G1 Y1"), [('G', 1.0), ('Y', 1.0)]);
    }
    for (line, letter) in [("G1 X", "X"), ("G1 XY2", "X"), ("G1 X (c)", "X"), ("G1 Z/", "Z")] {
        assert_eq!(faults(line.as_bytes())[0], (Fault::NoNumber, letter.to_owned()), "{line}");
    }
    assert_eq!(faults(b" 12 X1"), [(Fault::NoLetter, "12".to_owned())]);
    // NISTIR 6556 section 3.3, published: there is no exponent form. The E begins a word of its own.
    assert_eq!(values("X1E3"), [('X', 1.0), ('E', 3.0)]);
}

#[test]
fn a_letter_o_for_a_digit_is_told_and_not_read() {
    for bad in ["GO1", "G0O", "X1O", "ZO.5", "X.O5", "X1O.5", "X-O.5", "XO", "xo", "NO1", "X1OO0", "X1.O-"] {
        let line = format!("{bad} Y2");
        assert_eq!(faults(line.as_bytes()), [(Fault::LetterO, bad.to_owned())], "{line}");
        let words = read(&line);
        assert_eq!((words.found.len(), words.found[0].letter), (1, b'Y'), "{line}");
    }
    assert_eq!(faults(b"N1O X2"), [(Fault::LetterO, "N1O".to_owned())]);
    assert_eq!(faults(b"X1 N1O2"), [(Fault::LetterO, "N1O2".to_owned())]);
}

#[test]
fn the_letter_of_a_programs_number_is_no_digit() {
    for (line, found) in [
        ("O1001", vec![('O', 1001.0)]),
        ("/ O 1001", vec![('O', 1001.0)]),
        ("N10O1001", vec![('N', 10.0), ('O', 1001.0)]),
        ("% N1 0O1001", vec![('N', 10.0), ('O', 1001.0)]),
        ("N10 O1001", vec![('N', 10.0), ('O', 1001.0)]),
        ("X1 O5", vec![('X', 1.0), ('O', 5.0)]),
    ] {
        assert_eq!(values(line), found, "{line}");
    }
}

#[test]
fn other_faults_are_told_with_their_place() {
    for (line, fault, text) in [
        (&b"G1 % X1"[..], Fault::Stray, "% X1"),
        (b"G1 )", Fault::Stray, ")"),
        (b"G1 / X2", Fault::Stray, "/ X2"),
        (b"G1 (no end", Fault::OpenComment, "(no end"),
        (b"G1 (a (b) (c)) X1", Fault::NestedComment, "("),
        (b"G1 \x01 X1 \x7f", Fault::NotText, "\u{1}"),
        (b"G1 \xc3\xa9 X1", Fault::NotText, "\u{e9}"),
    ] {
        assert_eq!(faults(line), [(fault, text.to_owned())], "{line:?}");
    }
    assert_eq!(read(b"(a (b) (c)) X1").problems[0].span, Span::new(3, 4));
    assert_eq!(read([b' '; PROGRAM_LINE + 1]).problems[0].span, Span::new(PROGRAM_LINE, PROGRAM_LINE + 1));
    assert_eq!(read([b' '; PROGRAM_LINE]).problems, []);
}

#[test]
fn what_stands_before_a_fault_stays() {
    for line in [b"G1 X1 [2] Y3", b"G1 X1 \"2\" Y3", b"G1 X1 Y[/ Z3", b"G1 X1 #1 2Y3"] {
        let words = read(line);
        assert_eq!((words.found.len(), words.problems.len()), (2, 1), "{line:?}");
    }
    assert_eq!(read(b"G1 X1 \xff Y3").found.len(), 3);
}

#[test]
fn a_line_leaves_nothing_behind_for_the_next() {
    let mut words = Words::default();
    let parameters = Parameters::default();
    words.read(b"/#1=#2 G1 X (c)", &parameters, PLAIN);
    assert!(words.deletable && words.comment.is_some() && words.unset.is_some());
    assert_eq!((words.found.len(), words.problems.len(), words.settings.len()), (1, 1, 1));
    words.read(b"", &parameters, PLAIN);
    assert!(!words.deletable && !words.mark && words.comment.is_none() && words.unset.is_none());
    assert_eq!((words.found.len(), words.problems.len(), words.settings.len()), (0, 0, 0));
}
