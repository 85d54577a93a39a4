"""The derivation: geometry, energy and the equations of motion, in sympy and nothing else."""
