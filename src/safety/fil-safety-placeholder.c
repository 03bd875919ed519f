/* replaced by the first real file of this folder */
typedef int fil_safety_placeholder;
