//! Parameters and expressions.

use super::*;
use ExpressionFault as Of;

/// The value behind the X of a line that is nothing else.
fn value_with(text: &str, parameters: &Parameters) -> f64 {
    let words = read_with(format!("X{text}").as_bytes(), parameters, PLAIN);
    assert!(words.problems.is_empty() && words.found.len() == 1, "{text}: {:?}", words.problems);
    words.found[0].value
}

fn value(text: &str) -> f64 {
    value_with(text, &Parameters::default())
}

fn close(text: &str, expected: f64, within: f64) {
    let found = value(text);
    assert!((found - expected).abs() <= within, "{text}: {found}, not {expected}");
}

/// The parameters after these lines.
fn after(lines: &[&str]) -> Parameters {
    let mut parameters = Parameters::default();
    for line in lines {
        let words = read_with(line.as_bytes(), &parameters, PLAIN);
        assert_eq!(words.problems, [], "{line}");
        for setting in &words.settings {
            assert!(parameters.set(setting.index, setting.value));
        }
    }
    parameters
}

/// Holds that a line has this one fault of an expression, told of this text.
fn broken(line: &str, fault: ExpressionFault, text: &str) {
    assert_eq!(faults(line.as_bytes()), [(Fault::Expression(fault), text.to_owned())], "{line}");
}

#[test]
fn the_published_expressions_have_the_published_values() {
    // NISTIR 6556 appendix C.2, published; how near they are follows from the places given there.
    for (text, expected, within) in [
        ("[1 + 2 * 3 - 4 / 5]", 6.2, 1e-12),
        ("[15 MOD 4.0]", 3.0, 0.0),
        ("sin[30]", 0.5, 1e-12),
        ("tan[60.0]", 1.7321, 5e-5),
        ("atan[1.7321]/[1.0]", 60.0, 1e-3),
        ("acos[0.707107]", 45.0, 5e-5),
        ("round[-0.499]", 0.0, 0.0),
        ("round[-0.5001]", -1.0, 0.0),
        ("fix[-0.499]", -1.0, 0.0),
        ("fix[9.975]", 9.0, 0.0),
        ("fup[-0.5001]", 0.0, 0.0),
        ("fup[2.444]", 3.0, 0.0),
        ("exp[2.3026]", 10.0, 5e-4),
        ("[2 ** 3.0]", 8.0, 0.0),
        ("[2 or 2]", 1.0, 0.0),
        ("[2 xor 2]", 0.0, 0.0),
        ("[1 --3]", 4.0, 0.0),
        ("sqrt[3**2 + 4**2]", 5.0, 0.0),
    ] {
        close(text, expected, within);
    }
    // NISTIR 6556 section 3.3, published.
    close("[2.0 / 3 * 1.5 - 5.5 / 11.0]", 0.5, 1e-12);
    assert_eq!((value("FIX[-2.8]"), value("FUP[-2.8]")), (-3.0, -2.0));
}

#[test]
fn operators_bind_by_rank_and_from_left_to_right() {
    // NISTIR 6556 section 3.3: the ranks and the direction are published, the values derived.
    for (text, expected) in [
        ("[2 ** 3 ** 2]", 64.0),
        ("[2 * 3 ** 2]", 18.0),
        ("[-2 ** 2]", 4.0),
        ("[7 - 2 - 1]", 4.0),
        ("[8 / 4 / 2]", 1.0),
        ("[7 mod 4 * 2]", 6.0),
        ("[2 * 7 mod 4]", 2.0),
        ("[1 or 0 and 0]", 0.0),
        ("[1 or [0 and 0]]", 1.0),
        ("[1 + 1 xor 1]", 0.0),
        ("[0 and 1 + 5]", 5.0),
        ("[[1 + 2] * 3]", 9.0),
        ("[3 and -0.5]", 1.0),
        ("[0 or 0]", 0.0),
        ("[2 ** -1]", 0.5),
        ("[2*-3]", -6.0),
        ("[1-+3]", -2.0),
    ] {
        assert_eq!(value(text), expected, "{text}");
    }
    // From memory: the remainder is never negative.
    assert_eq!((value("[-5 MOD 3]"), value("[5 MOD -3]")), (1.0, 2.0));
}

#[test]
fn functions_have_their_values() {
    // Derived.
    for (text, expected) in [
        ("abs[-0.878]", 0.878),
        ("asin[1]", 90.0),
        ("asin[-0.5]", -30.0),
        ("cos[60]", 0.5),
        ("ln[1]", 0.0),
        ("ln[exp[2]]", 2.0),
        ("tan[45]", 1.0),
        ("tan[-135]", 1.0),
        ("atan[1]/[-1]", 135.0),
        ("atan[-1]/[-1]", -135.0),
        ("atan[0]/[-2]", 180.0),
        ("atan[[1 + 1]]/[sqrt[4]]", 45.0),
        ("round[2.5]", 3.0),
    ] {
        close(text, expected, 1e-12);
    }
    for (text, expected) in [
        ("sin[180]", 0.0),
        ("sin[-90]", -1.0),
        ("sin[450]", 1.0),
        ("cos[90]", 0.0),
        ("cos[-180]", -1.0),
        ("cos[720]", 1.0),
        ("tan[360]", 0.0),
    ] {
        assert_eq!(value(text), expected, "{text}");
    }
    assert!(value("fup[-0.5]").is_sign_positive() && value("[0 * -1]").is_sign_positive());
}

#[test]
fn blanks_and_case_do_not_matter_in_expressions() {
    for text in ["[ 1\t0 m O d 4 + S q R t [ 1 6 ] * * 2 ]", "[10MOD4+SQRT[16]**2]", "[10mod4+sqrt[16]**2]"] {
        assert_eq!(value(text), 18.0, "{text}");
    }
    let words = read("X atan [ 1 ] / [ 1 ] Y # 1 Z\tS I N[3 0]G1");
    let found: Vec<_> = words.found.iter().map(|word| (word.letter, word.span.from, word.span.to)).collect();
    assert_eq!(found, [(b'X', 0, 20), (b'Y', 21, 26), (b'Z', 27, 39), (b'G', 39, 41)]);
}

#[test]
fn words_without_numbers_are_no_functions() {
    assert_eq!(faults(b"G1 X SIN"), ["X", "S", "I", "N"].map(|text| (Fault::NoNumber, text.to_owned())));
    assert_eq!(faults(b"X Y[1]"), [(Fault::NoNumber, "X".to_owned())]);
    assert_eq!(read("S SIN[30]").found[0].letter, b'S');
    assert_eq!(value("EXP[0]"), 1.0);
}

#[test]
fn settings_are_taken_after_the_line_is_read() {
    // NISTIR 6556 section 3.3, published: G1 uses the old #3, the last of two settings wins.
    let parameters = after(&["#3=15", "#5=1 #5=2"]);
    assert_eq!((parameters.get(3), parameters.get(5)), (Some(15.0), Some(2.0)));
    let words = read_with(b"#3=6 G1 x#3", &parameters, PLAIN);
    assert_eq!(words.found.iter().map(|word| word.value).collect::<Vec<_>>(), [1.0, 15.0]);
    let Setting { index, value, span } = words.settings[0];
    assert_eq!((index, value, span), (3, 6.0, Span::new(0, 4)));
}

#[test]
fn a_parameter_can_tell_the_number_of_another() {
    // NISTIR 6556 appendix C.2, published: with #1 = 2, ##1 = 0.375 sets #2.
    let parameters = after(&["#1=2", "##1 = 0.375"]);
    assert_eq!(parameters.get(2), Some(0.375));
    assert_eq!(value_with("##1", &parameters), 0.375);
    assert_eq!(value_with("#[#1 - 1]", &parameters), 2.0);
    assert_eq!(value_with("[ # # 1 * 2 ]", &parameters), 0.75);
    // NISTIR 6556 section 3.3, published: # binds before the operators.
    assert_eq!(value_with("[#1 + 2]", &parameters), 4.0);
    assert_eq!(value_with("#[1 + 1]", &parameters), 0.375);
    // Derived from the published tolerance of 0.0001.
    assert_eq!((value_with("#1.0", &parameters), value_with("#[2 - .00009]", &parameters)), (2.0, 0.375));
    let set = after(&["# 7 = [ 1 + 1 ] #8=-.5#9=sqrt[.25] # [5+5]=#7"]);
    assert_eq!([7, 8, 9, 10].map(|index| set.get(index)), [Some(2.0), Some(-0.5), Some(0.5), Some(0.0)]);
}

#[test]
fn a_parameter_read_before_it_is_set_is_told() {
    let parameters = after(&["#1=2"]);
    let unset = |line: &str| read_with(line.as_bytes(), &parameters, PLAIN).unset;
    assert_eq!(unset("X#1 Y[#1 * 2] #9=1"), None);
    assert_eq!(unset("X#1 Y[1 + #4 + #5]"), Some(Unset { index: 4, span: Span::new(10, 12) }));
    assert_eq!(unset("#9=#8 X#7"), Some(Unset { index: 8, span: Span::new(3, 5) }));
    assert_eq!(unset("#9=1 X#9").map(|unset| unset.index), Some(9));
    assert_eq!(unset("X[1 / #4]"), Some(Unset { index: 4, span: Span::new(6, 8) }));
    assert_eq!(unset("X##1").map(|unset| unset.span), Some(Span::new(1, 4)));
}

#[test]
fn a_form_that_is_wrong_is_told_with_its_place() {
    for (line, fault, text) in [
        ("G1 X[1+]", Of::NoValue, "]"),
        ("G1 X[]", Of::NoValue, "]"),
        ("G1 X[", Of::NoValue, ""),
        ("G1 X#", Of::NoValue, ""),
        ("G1 X[*2]", Of::NoValue, "*"),
        ("G1 X[1 + (c) 2]", Of::NoValue, "("),
        ("G1 X[Y 2]", Of::NoValue, "Y"),
        ("G1 X[1.2.3]", Of::Number, "1.2.3"),
        ("G1 X[--3]", Of::Number, "-"),
        ("G1 X[1 - .]", Of::Number, "."),
        ("G1 X-#1", Of::Sign, "-"),
        ("G1 X - [1]", Of::Sign, "-"),
        ("G1 X-sin[1]", Of::Sign, "-"),
        ("G1 X[1 --#1]", Of::Sign, "-"),
        ("G1 #1=-#2", Of::Sign, "-"),
        ("G1 X[1 2 3 Y 2]", Of::NoOperator, "Y"),
        ("G1 X[[1] [2]]", Of::NoOperator, "["),
        ("G1 X[1 = 2]", Of::NoOperator, "="),
        ("G1 X foo [1]", Of::UnknownFunction, "foo"),
        ("G1 X[1 + SINE[1]]", Of::NoBracket, "E"),
        ("G1 X[1 + sin 30]", Of::NoBracket, "3"),
        ("G1 X[1 + sin", Of::NoBracket, ""),
        ("G1 X atan[1] Y2", Of::HalfAtan, "Y"),
        ("G1 X atan[1]/2", Of::HalfAtan, "2"),
        ("G1 X[1 + [2 * 3]", Of::OpenBracket, "["),
        // Blanks count for nothing: this is parameter 115.
        ("G1 #1 15", Of::NoEquals, ""),
        ("G1 #1", Of::NoEquals, ""),
        ("G1 #1 X2", Of::NoEquals, "X"),
        ("G1 #1=", Of::NoValue, ""),
        ("G1 #1=Y2", Of::NoValue, "Y"),
        ("G1 #1=1.2.3", Of::Number, "1.2.3"),
        ("G1 #1=1-2", Of::Number, "1-2"),
        ("G1 [1]", Of::Outside, "[1]"),
        ("G1 X1]", Of::Outside, "]"),
        ("G1 X1 * 2", Of::Outside, "* 2"),
        ("G1 X1 = 2", Of::Outside, "= 2"),
    ] {
        broken(line, fault, text);
    }
}

#[test]
fn a_value_that_is_none_is_told_with_its_place() {
    for (line, fault, text) in [
        ("G1 X[1 + 2 / 0 - 1]", Of::DivisionByZero, "/ 0"),
        ("G1 X[1 mod [1 - 1]]", Of::DivisionByZero, "mod [1 - 1]"),
        ("G1 X[1 / #1]", Of::DivisionByZero, "/ #1"),
        ("G1 X[0 ** -1]", Of::DivisionByZero, "** -1"),
        ("G1 X[2 * sqrt[-4]]", Of::Root, "sqrt[-4]"),
        ("G1 Xacos[1.001]", Of::NotASine, "acos[1.001]"),
        ("G1 Xasin[-2]", Of::NotASine, "asin[-2]"),
        ("G1 Xtan[-270]", Of::RightAngle, "tan[-270]"),
        ("G1 Xatan[0]/[0]", Of::NoDirection, "atan[0]/[0]"),
        ("G1 Xln[0]", Of::Logarithm, "ln[0]"),
        ("G1 Xln[-1]", Of::Logarithm, "ln[-1]"),
        ("G1 X[-8 ** .5]", Of::Power, "** .5"),
        ("G1 X[10 ** 400]", Of::TooLarge, "** 400"),
        ("G1 Xexp[1000]", Of::TooLarge, "exp[1000]"),
        ("G1 X[10**300*10**300]", Of::TooLarge, "*10**300"),
        ("G1 X#0", Of::Index, "#0"),
        ("G1 X#5400", Of::Index, "#5400"),
        ("G1 X#-1", Of::Index, "#-1"),
        ("G1 X#1.5", Of::Index, "#1.5"),
        ("G1 X##1", Of::Index, "##1"),
        ("G1 X[2 + #[1/2]]", Of::Index, "#[1/2]"),
        ("G1 #0 = 5", Of::Index, "#0"),
    ] {
        broken(line, fault, text);
    }
}

#[test]
fn nesting_has_a_limit() {
    let nested = |depth: usize| format!("X{}1{}", "[".repeat(depth), "]".repeat(depth));
    assert_eq!(values(&nested(32)), [('X', 1.0)]);
    broken(&nested(33), Of::TooDeep, "[");
    let parameter = |depth: usize| format!("{}1", "#".repeat(depth));
    let parameters = after(&["#1=1"]);
    assert_eq!(value_with(&parameter(32), &parameters), 1.0);
    for deep in [nested(2000), format!("X{}", parameter(33)), parameter(4000), "#[".repeat(2000)] {
        let problems = read(&deep).problems;
        assert_eq!(problems[0].fault, Fault::Expression(Of::TooDeep), "{} deep", deep.len());
    }
    assert_eq!(values(&format!("X[0{}]", "+1".repeat(2000))), [('X', 2000.0)]);
}
