//! Arguments in, exit code out.

use std::io::{self, BufWriter, IsTerminal, Write};
use std::process::ExitCode;

use matside::cli::{self, Context};
use matside::failure::{Failure, Status};

fn main() -> ExitCode {
    let (mut input, mut out, mut err) = (io::stdin(), BufWriter::new(io::stdout()), io::stderr());
    let mut context = Context {
        terminal: input.is_terminal() && io::stdout().is_terminal(),
        input: &mut input,
        out: &mut out,
        err: &mut err,
        data: None,
        now: chrono::Local::now().fixed_offset(),
    };
    let done = cli::run(std::env::args_os(), &mut context);
    match done.and_then(|()| out.flush().map_err(Failure::from)) {
        Ok(()) => Status::Done.into(),
        Err(failure) => {
            // What was written before the failure comes first; nothing more can be done if that fails too.
            let _ = out.flush();
            let _ = write!(err, "{failure}");
            failure.status.into()
        }
    }
}
