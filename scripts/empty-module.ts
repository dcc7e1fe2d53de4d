// Stands in for Ink's optional development tools, which the shipped bundle never uses.
export default {};
