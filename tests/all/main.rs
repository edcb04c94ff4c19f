//! Every integration test in one binary.

<<<<<<< HEAD
mod cli;
mod demo;
mod live;
mod store;
mod tidy;
=======
mod exact;
>>>>>>> 86027eb (Solve the planning problem exactly: time and every unit apart, prices that make them agree)
