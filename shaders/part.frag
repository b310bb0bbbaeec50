#version 330 core
flat in uint v_part;
out uint part;
void main() { part = v_part; }
