package checklist
