#version 330 core
// Its number.
uniform int first;
out uint number;

void main() {
    number = uint(first + gl_PrimitiveID);
}
