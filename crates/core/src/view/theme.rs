//! Colours, light and dark. Kinds are told apart by the Okabe-Ito set, never by colour alone.

use super::drawing::{Dash, Ink};
use crate::measure::Contact;

/// Every colour of a view.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Theme {
    /// Background of drawings.
    pub paper: Ink,
    /// Text and strong lines.
    pub ink: Ink,
    /// Secondary text.
    pub quiet: Ink,
    /// Grid and dividing lines.
    pub line: Ink,
    /// Background of boxes on the paper.
    pub panel: Ink,
    /// What is picked, and curves.
    pub accent: Ink,
    /// The area a tool sweeps.
    pub accent_soft: Ink,
    /// Metal at the height of the blank's upper face.
    pub metal: Ink,
    /// Metal just above its lower face.
    pub metal_low: Ink,
    /// The sawn edge.
    pub metal_edge: Ink,
    /// Metal in full light, in the round.
    pub metal_lit: Ink,
    /// No contact.
    pub none: Ink,
    /// Light cut.
    pub light: Ink,
    /// Full cut.
    pub full: Ink,
    /// Heavy cut.
    pub heavy: Ink,
    /// Stock along the outline, after the pass.
    pub stock: Ink,
    /// The same where the tool has not been yet.
    pub stock_before: Ink,
    /// The same where the pass has no contact, and where the blank is short.
    pub stock_none: Ink,
    /// The same where its cut is light.
    pub stock_light: Ink,
    /// The line that the stock ends at.
    pub stock_edge: Ink,
    /// Borders of controls.
    pub border: Ink,
    /// Drawn a little wider under a contact colour that stands out too little from the paper.
    pub casing: Ink,
}

const fn rgb(hex: u32) -> Ink {
    [(hex >> 16) as u8, (hex >> 8) as u8, hex as u8, 255]
}

impl Theme {
    /// Dark ink on light paper.
    pub const fn light() -> Self {
        Self {
            paper: rgb(0xfc_fa_f6),
            ink: rgb(0x1f_23_28),
            quiet: rgb(0x63_67_6d),
            line: rgb(0xe4_e2_dc),
            panel: rgb(0xff_ff_ff),
            accent: rgb(0x00_72_b2),
            accent_soft: rgb(0xdc_ed_f3),
            metal: rgb(0xd9_d5_c9),
            metal_low: rgb(0xbd_b6_a4),
            metal_edge: rgb(0x85_80_72),
            metal_lit: rgb(0xde_da_cf),
            none: rgb(0xd5_5e_00),
            light: rgb(0xe6_9f_00),
            full: rgb(0x00_72_b2),
            heavy: rgb(0xcc_79_a7),
            stock: rgb(0xb9_ce_df),
            stock_before: rgb(0xdf_e2_e4),
            stock_none: rgb(0xf3_cd_b8),
            stock_light: rgb(0xf7_e3_b5),
            stock_edge: rgb(0x56_78_94),
            border: rgb(0x88_8b_90),
            casing: rgb(0x4a_3a_20),
        }
    }

    /// Light ink on dark paper.
    pub const fn dark() -> Self {
        Self {
            paper: rgb(0x19_1b_1f),
            ink: rgb(0xec_ec_ea),
            quiet: rgb(0xa3_a6_ab),
            line: rgb(0x30_33_38),
            panel: rgb(0x25_28_2d),
            accent: rgb(0x56_b4_e9),
            accent_soft: rgb(0x1f_34_40),
            metal: rgb(0x4b_48_42),
            metal_low: rgb(0x35_33_2f),
            metal_edge: rgb(0x9b_96_88),
            metal_lit: rgb(0xc4_c0_b6),
            none: rgb(0xd5_5e_00),
            light: rgb(0xe6_9f_00),
            full: rgb(0x56_b4_e9),
            heavy: rgb(0xcc_79_a7),
            stock: rgb(0x2f_4d_63),
            stock_before: rgb(0x3a_3d_42),
            stock_none: rgb(0x74_3d_17),
            stock_light: rgb(0x63_4e_17),
            stock_edge: rgb(0x86_ad_c9),
            border: rgb(0x7c_80_87),
            casing: rgb(0xec_ec_ea),
        }
    }

    /// Black on white, for paper: greys that stay apart on any printer, and every state told by its line as well.
    pub const fn print() -> Self {
        Self {
            paper: rgb(0xff_ff_ff),
            ink: rgb(0x00_00_00),
            quiet: rgb(0x44_44_44),
            line: rgb(0xd8_d8_d8),
            panel: rgb(0xff_ff_ff),
            accent: rgb(0x20_20_20),
            accent_soft: rgb(0xee_ee_ee),
            metal: rgb(0xdd_dd_dd),
            metal_low: rgb(0xc4_c4_c4),
            metal_edge: rgb(0x70_70_70),
            metal_lit: rgb(0xe6_e6_e6),
            none: rgb(0x30_30_30),
            light: rgb(0x10_10_10),
            full: rgb(0x60_60_60),
            heavy: rgb(0x00_00_00),
            stock: rgb(0xc8_c8_c8),
            stock_before: rgb(0xec_ec_ec),
            stock_none: rgb(0x90_90_90),
            stock_light: rgb(0xa8_a8_a8),
            stock_edge: rgb(0x50_50_50),
            border: rgb(0x70_70_70),
            casing: rgb(0x00_00_00),
        }
    }

    /// Shades of stock from the blank inward, each a step apart from the next.
    pub const fn stock_shades(&self) -> [Ink; 5] {
        [rgb(0xea_ea_ea), rgb(0xcc_cc_cc), rgb(0xa8_a8_a8), rgb(0x88_88_88), rgb(0x6c_6c_6c)]
    }

    /// Colour, line style and width of a state of contact.
    pub const fn contact(&self, state: Contact) -> (Ink, Dash, f32) {
        match state {
            Contact::None => (self.none, Dash::Dotted, 3.4),
            Contact::Light => (self.light, Dash::Dashed, 3.0),
            Contact::Full => (self.full, Dash::Solid, 2.4),
            Contact::Heavy => (self.heavy, Dash::Solid, 5.0),
            Contact::Approach => (self.quiet, Dash::Solid, 0.9),
        }
    }

    /// The colour of a fine line that tells of a state, such as the border of a zone: the state's own, or that of its
    /// casing where it would stand out too little.
    pub fn fine_line(&self, state: Contact) -> Ink {
        self.casing(state).unwrap_or(self.contact(state).0)
    }

    /// The colour to draw a little wider under a state's line: for one that reaches less than 3.2 to 1 against
    /// the paper (orange, and purple by a hair's breadth, on light paper; none on dark).
    pub fn casing(&self, state: Contact) -> Option<Ink> {
        (contrast(self.contact(state).0, self.paper) < 3.2).then_some(self.casing)
    }
}

/// Contrast of two opaque colours, 1 to 21: (L1 + 0.05) / (L2 + 0.05) of their relative luminances, by the
/// formula published in WCAG 2.
pub fn contrast(a: Ink, b: Ink) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

fn luminance(ink: Ink) -> f64 {
    let linear = |part: u8| {
        let part = f64::from(part) / 255.0;
        if part <= 0.040_45 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * linear(ink[0]) + 0.7152 * linear(ink[1]) + 0.0722 * linear(ink[2])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn black_on_white_is_the_greatest_contrast() {
        assert!((contrast([0, 0, 0, 255], [255; 4]) - 21.0).abs() < 1e-9);
    }

    #[test]
    fn text_and_contact_colours_stand_out_from_the_paper() {
        for theme in [Theme::light(), Theme::dark(), Theme::print()] {
            for back in [theme.paper, theme.panel] {
                assert!(contrast(theme.ink, back) >= 4.5);
                assert!(contrast(theme.quiet, back) >= 4.5);
            }
            assert!(
                contrast(theme.stock_edge, theme.paper) >= 3.0
                    && contrast(theme.stock_edge, theme.stock) >= 2.5
            );
            for state in [Contact::None, Contact::Light, Contact::Full, Contact::Heavy] {
                let seen = theme.casing(state).unwrap_or(theme.contact(state).0);
                assert!(contrast(seen, theme.paper) >= 3.0, "{state:?}");
                assert!(contrast(theme.fine_line(state), theme.paper) >= 3.0, "border of a zone, {state:?}");
            }
            // What is not cut yet has rungs across it, told from what is left in greys alone.
            assert!(contrast(theme.quiet, theme.stock_before) >= 3.0);
            assert!(contrast(theme.border, theme.panel) >= 3.0 && contrast(theme.border, theme.paper) >= 3.0);
        }
        assert!(Theme::light().casing(Contact::Light).is_some());
        assert!(Theme::dark().casing(Contact::Light).is_none());
    }
}
