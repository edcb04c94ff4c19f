//! What is printed or exported: plans, histories and catalogues as text and JSON.
