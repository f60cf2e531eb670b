#version 330 core
// One more than the number of the triangle, in 24 bits: red holds the lowest byte. 0 is left to "nothing".
out vec4 number;

void main()
{
    int id = gl_PrimitiveID + 1;
    number = vec4(vec3(id & 255, (id >> 8) & 255, (id >> 16) & 255) / 255.0, 1.0);
}
