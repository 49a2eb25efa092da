//! Tokens: side by side they are the line, whatever it holds.

use blockwright_core::program::words::{Dialect, Token, TokenKind, tokens};

const PLAIN: Dialect = Dialect { semicolon_comments: false };
const SEMICOLONS: Dialect = Dialect { semicolon_comments: true };

struct Random(u64);

impl Random {
    fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % limit
    }
}

/// The tokens of a line as kind and text, after holding that they tile it.
fn cut(line: &[u8], dialect: Dialect) -> Vec<(TokenKind, String)> {
    let row = tokens(line, dialect);
    let mut end = 0;
    for Token { span, .. } in &row {
        assert!(span.from == end && span.to > end, "{line:?}: {span:?} after {end}");
        end = span.to;
    }
    assert_eq!(end, line.len(), "{line:?}");
    let joined: Vec<u8> = row.iter().flat_map(|token| token.span.of(line)).copied().collect();
    assert_eq!(joined, line);
    let text = |token: &Token| String::from_utf8_lossy(token.span.of(line)).into_owned();
    row.iter().map(|token| (token.kind, text(token))).collect()
}

/// A kind as one letter, so that a line's tokens can be written as a word.
fn sign(kind: TokenKind) -> char {
    match kind {
        TokenKind::Blank => '_',
        TokenKind::Comment => 'c',
        TokenKind::Mark => '%',
        TokenKind::Slash => '/',
        TokenKind::Word { number: Some(_), .. } => 'w',
        TokenKind::Word { number: None, .. } => 'e',
        TokenKind::Setting => '=',
        TokenKind::Stray => '?',
    }
}

fn shape(line: &[u8], dialect: Dialect) -> (String, Vec<String>) {
    let (kinds, texts): (Vec<_>, Vec<_>) = cut(line, dialect).into_iter().unzip();
    (kinds.into_iter().map(sign).collect(), texts)
}

#[test]
fn a_line_is_cut_where_a_reader_would_cut_it() {
    for (line, kinds, texts) in [
        ("", "", &[][..]),
        (" \t", "_", &[" \t"]),
        ("N10 G1X1.5 Y-2", "w_ww_w", &["N10", " ", "G1", "X1.5", " ", "Y-2"]),
        ("g0x +0. 12 34y 7 ", "www_", &["g0", "x +0. 12 34", "y 7", " "]),
        (" /N1(c)", "_/wc", &[" ", "/", "N1", "(c)"]),
        ("%O1001", "%w", &["%", "O1001"]),
        ("X#1Y[1 + 2] Z sin[30]", "ee_e", &["X#1", "Y[1 + 2]", " ", "Z sin[30]"]),
        ("#3 = 15 G1 ##1=[2]", "=_w_=", &["#3 = 15", " ", "G1", " ", "##1=[2]"]),
        ("X[1/0] #0=#9999 Y1", "e_=_w", &["X[1/0]", " ", "#0=#9999", " ", "Y1"]),
        ("G1 X Y2 X1.2.3 Z1", "w_?_w_?_w", &["G1", " ", "X", " ", "Y2", " ", "X1.2.3", " ", "Z1"]),
        ("GO1 X1", "?_w", &["GO1", " ", "X1"]),
        ("12 X1", "?_w", &["12", " ", "X1"]),
        ("G1 X[1+] Y2", "w_?", &["G1", " ", "X[1+] Y2"]),
        ("G1 (open", "w_?", &["G1", " ", "(open"]),
        ("G1 (a (b)) X1", "w_c_w", &["G1", " ", "(a (b))", " ", "X1"]),
        ("G1 \u{e9}\u{e8} X1", "w_?_w", &["G1", " ", "\u{e9}\u{e8}", " ", "X1"]),
        ("G1 ; X1", "w_?", &["G1", " ", "; X1"]),
    ] {
        let texts = texts.iter().map(|&text| text.to_owned()).collect();
        assert_eq!(shape(line.as_bytes(), PLAIN), (kinds.to_owned(), texts), "{line}");
    }
    assert_eq!(shape(b"G1 ; (X1", SEMICOLONS).0, "w_c");
}

#[test]
fn a_word_tells_its_letter_and_number() {
    let kinds: Vec<_> = cut(b"g 1 x-.5Y#2", PLAIN).into_iter().map(|(kind, _)| kind).collect();
    let word = |letter, number, point| TokenKind::Word { letter, number, point };
    let expected = [
        word(b'G', Some(1.0), false),
        TokenKind::Blank,
        word(b'X', Some(-0.5), true),
        word(b'Y', None, false),
    ];
    assert_eq!(kinds, expected);
}

#[test]
fn a_line_too_long_to_read_is_one_token() {
    assert_eq!(shape(&[b' '; 4097], PLAIN).0, "?");
    assert_eq!(shape(&[b' '; 4096], PLAIN).0, "_");
}

#[test]
fn any_line_is_its_tokens() {
    let every: Vec<u8> = (0..=255).collect();
    let alphabets: [&[u8]; 4] =
        [&every, b"GXYZN0123456789.+-   ", b"#[]=1.0-+*/ ATANSIQRMDX", b"GXNO01.+-() ;%/\t#=[\xc3\xa9"];
    let mut random = Random(5);
    for round in 0..40_000 {
        let alphabet = alphabets[round % alphabets.len()];
        let line: Vec<u8> = (0..random.below(60)).map(|_| alphabet[random.below(alphabet.len())]).collect();
        for dialect in [PLAIN, SEMICOLONS] {
            cut(&line, dialect);
        }
    }
}

#[test]
fn tokens_of_text_end_between_characters() {
    let parts = ["\u{e9}", "\u{20ac}", "G1", " ", "(", ")", "[", "#", "\u{1f600}", ";", "X", "O", "="];
    let mut random = Random(6);
    for _ in 0..20_000 {
        let line: String = (0..random.below(12)).map(|_| parts[random.below(parts.len())]).collect();
        for token in tokens(line.as_bytes(), PLAIN) {
            assert!(line.is_char_boundary(token.span.from) && line.is_char_boundary(token.span.to), "{line}");
        }
    }
}
