"""The program in the terminal: screens, widgets and the one table of actions. Textual is used nowhere else."""
