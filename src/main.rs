//! The program: hands the arguments and the real world to the library, and the result to the shell.

fn main() -> std::process::ExitCode {
    secondball::main()
}
