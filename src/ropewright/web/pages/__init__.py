"""The shell: today, health, pages without a network, trouble."""
