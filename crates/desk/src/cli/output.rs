//! Standard output and error as a command uses them: a text that cannot be written takes nothing from what the command
//! has done.

use std::io::{self, ErrorKind, Write};

/// Where text goes. Writing never fails; what went wrong is kept, once.
pub(super) struct Output<'a> {
    to: &'a mut dyn Write,
    lost: Option<io::Error>,
    /// Nothing more is written: the rest of a text that has a hole in it misleads.
    over: bool,
}

impl<'a> Output<'a> {
    pub(super) fn new(to: &'a mut dyn Write) -> Self {
        Self { to, lost: None, over: false }
    }

    /// Why text was lost. A reader that has gone away has seen enough, and loses nothing.
    pub(super) fn lost(&self) -> Option<&io::Error> {
        self.lost.as_ref()
    }

    fn note(&mut self, done: io::Result<()>) {
        let Err(error) = done else { return };
        self.over = true;
        if error.kind() != ErrorKind::BrokenPipe {
            self.lost = Some(error);
        }
    }
}

impl Write for Output<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if !self.over {
            let done = self.to.write_all(bytes);
            self.note(done);
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        if !self.over {
            let done = self.to.flush();
            self.note(done);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Refusing(ErrorKind);

    impl Write for Refusing {
        fn write(&mut self, _: &[u8]) -> io::Result<usize> {
            Err(self.0.into())
        }

        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn what_is_lost_is_told_and_a_reader_that_went_away_loses_nothing() {
        for (kind, told) in [(ErrorKind::StorageFull, true), (ErrorKind::BrokenPipe, false)] {
            let mut full = Refusing(kind);
            let mut output = Output::new(&mut full);
            assert!(output.write_all(b"text").is_ok() && output.flush().is_ok());
            assert_eq!(output.lost().is_some(), told);
        }
    }
}
