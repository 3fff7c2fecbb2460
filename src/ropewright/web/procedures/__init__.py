"""The room of procedures: library, storyboard, proof, mistakes, editing, finding a way."""
